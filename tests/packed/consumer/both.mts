// An ESM program that loads the CommonJS build too.
import * as cvset from "cvset";
import * as check from "cvset/check";
import * as connection from "cvset/connection";
import * as files from "cvset/files";
import * as meaning from "cvset/meaning";
import * as plan from "cvset/plan";
import * as sheet from "cvset/sheet";
import * as simulator from "cvset/simulator";
import * as standard from "cvset/standard";

import cvsetCjs = require("cvset");
import standardCjs = require("cvset/standard");
import checkCjs = require("cvset/check");
import planCjs = require("cvset/plan");
import simulatorCjs = require("cvset/simulator");
import connectionCjs = require("cvset/connection");
import meaningCjs = require("cvset/meaning");
import sheetCjs = require("cvset/sheet");
import filesCjs = require("cvset/files");

import { mixed } from "./mixed.mjs";

export const results = (): Promise<string[]> =>
  mixed(
    { cvset, standard, check, plan, simulator, connection, meaning, sheet, files },
    {
      cvset: cvsetCjs,
      standard: standardCjs,
      check: checkCjs,
      plan: planCjs,
      simulator: simulatorCjs,
      connection: connectionCjs,
      meaning: meaningCjs,
      sheet: sheetCjs,
      files: filesCjs,
    },
  );
