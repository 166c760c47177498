import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { defineRule, type Rule } from "../check/rule.js";
import { isObject } from "../codec/fields.js";
import { CvError, messageOf } from "../cv/issue.js";
import { kindIssues } from "../decoder/codec-from-json.js";
import { Lexicon } from "../meaning/lexicon.js";
import { exists } from "./input.js";
import { noPlugIns, type PlugIns } from "./plug-in.js";
import { Unusable } from "./unusable.js";

/** The parts that the command has itself; only their names matter here. */
const builtInParts = { locomotive: {} };

const exportNames = ["codecs", "parts", "rules", "terms"];

/**
 * Loads plug-ins: their code runs.
 * @throws {@link Unusable} With the file and what is wrong with it.
 */
export async function plugInsFrom(files: readonly string[]): Promise<PlugIns> {
  let all = noPlugIns;
  for (const file of files) {
    const { codecs = {}, parts = {}, rules = [], terms = [] } = await loaded(file);
    const twice = [
      ...namesIn(codecs, all.codecs, "codecs"),
      ...namesIn(parts, { ...builtInParts, ...all.parts }, "parts"),
    ];
    if (twice.length) throw new Unusable(...twice.map((name) => `${file}: there is a ${name} already`));
    all = {
      files: [...all.files, file],
      codecs: { ...all.codecs, ...codecs },
      parts: { ...all.parts, ...parts },
      rules: [...all.rules, ...rules],
      terms: [...all.terms, ...terms],
    };
  }
  return all;
}

function namesIn(own: object, all: object, kind: "codecs" | "parts"): string[] {
  const what = kind === "codecs" ? "kind of codec" : "part";
  return Object.keys(own)
    .filter((name) => Object.hasOwn(all, name))
    .map((name) => `${what} "${name}"`);
}

async function loaded(file: string): Promise<Partial<PlugIns>> {
  if (!(await exists(file))) throw new Unusable(`${file}: there is no such file`);
  let module: Readonly<Record<string, unknown>>;
  try {
    module = await import(pathToFileURL(resolve(file)).href);
  } catch (error) {
    throw new Unusable(`${file}: the plug-in cannot be loaded: ${reasonFor(error)}`);
  }
  const { default: whole } = module;
  const found = isObject(whole) && exportNames.some((name) => name in whole) ? whole : module;
  if (!exportNames.some((name) => name in found)) {
    throw new Unusable(`${file}: this is no plug-in: it exports none of ${exportNames.join(", ")}`);
  }
  const complaints = [
    ...wrongIn("codecs", found, (codecs) => {
      const issues = kindIssues(codecs);
      if (issues.length) throw new CvError(issues);
    }),
    ...wrongIn("parts", found, (parts) => {
      const isRight = isObject(parts) && Object.values(parts).every(isObject);
      if (!isRight) throw new Error("expected sets of features by name");
    }),
    ...wrongIn("rules", found, (rules) => {
      if (!Array.isArray(rules)) throw new Error("expected a list of rules, as defineRule makes them");
      for (const rule of rules) {
        if (!isObject(rule) || typeof rule["find"] !== "function") {
          throw new Error("expected a list of rules, as defineRule makes them");
        }
        defineRule(rule as object as Rule);
      }
    }),
    ...wrongIn("terms", found, (terms) => {
      if (
        !Array.isArray(terms) ||
        !terms.every((term) => isObject(term) && typeof term["name"] === "string")
      ) {
        throw new Error("expected a list of terms");
      }
      new Lexicon(terms);
    }),
  ];
  if (complaints.length) throw new Unusable(...complaints.map((text) => `${file}: ${text}`));
  // Each part has been looked at.
  return found as Partial<PlugIns>;
}

/** What is wrong with one export, where it is there. */
function wrongIn(
  name: string,
  found: Readonly<Record<string, unknown>>,
  check: (value: unknown) => void,
): string[] {
  if (found[name] === undefined) return [];
  try {
    check(found[name]);
    return [];
  } catch (error) {
    if (!(error instanceof CvError)) return [`${name}: ${error instanceof Error ? error.message : error}`];
    return error.issues.map((issue) => {
      const text = messageOf(issue);
      return text.startsWith(name) ? text : `${name}: ${text}`;
    });
  }
}

function reasonFor(error: unknown): string {
  const all = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  const text = all.replace(/\n[\s\S]*/, "");
  const isOwn = (error as { code?: unknown } | null)?.code === "ERR_MODULE_NOT_FOUND" && /'cvset'/.test(text);
  return isOwn ? `${text}; install cvset in its folder: npm install cvset` : text;
}
