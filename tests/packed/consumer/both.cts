// A CommonJS program that loads the ESM build too, after its own.
import cvset = require("cvset");
import standard = require("cvset/standard");
import check = require("cvset/check");
import plan = require("cvset/plan");
import simulator = require("cvset/simulator");
import connection = require("cvset/connection");
import meaning = require("cvset/meaning");
import sheet = require("cvset/sheet");
import files = require("cvset/files");

async function results(): Promise<string[]> {
  const { mixed } = await import("./mixed.mjs");
  return mixed(
    {
      cvset: await import("cvset"),
      standard: await import("cvset/standard"),
      check: await import("cvset/check"),
      plan: await import("cvset/plan"),
      simulator: await import("cvset/simulator"),
      connection: await import("cvset/connection"),
      meaning: await import("cvset/meaning"),
      sheet: await import("cvset/sheet"),
      files: await import("cvset/files"),
    },
    { cvset, standard, check, plan, simulator, connection, meaning, sheet, files },
  );
}

export = { results };
