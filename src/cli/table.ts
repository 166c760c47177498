import { nearestNames } from "../cv/nearest.js";
import { Unusable } from "./unusable.js";
import type { Verb, VerbTable } from "./verb.js";

// Each verb is loaded only when it is called: a small command should start at once.
const loaders: Readonly<Record<string, () => Promise<{ readonly verb: Verb }>>> = {
  demo: () => import("./verbs/demo.js"),
  address: () => import("./verbs/address.js"),
  new: () => import("./verbs/new.js"),
  set: () => import("./verbs/set.js"),
  encode: () => import("./verbs/encode.js"),
  decode: () => import("./verbs/decode.js"),
  explain: () => import("./verbs/explain.js"),
  curve: () => import("./verbs/curve.js"),
  match: () => import("./verbs/match.js"),
  plan: () => import("./verbs/plan.js"),
  verify: () => import("./verbs/verify.js"),
  check: () => import("./verbs/check.js"),
  diff: () => import("./verbs/diff.js"),
  translate: () => import("./verbs/translate.js"),
  sheet: () => import("./verbs/sheet.js"),
  describe: () => import("./verbs/describe.js"),
  completion: () => import("./verbs/completion.js"),
};

/** The names of all verbs, in the order of the help. */
export const verbNames: readonly string[] = Object.keys(loaders);

/**
 * A verb.
 * @throws {@link Unusable} When no verb has that name.
 */
export async function verbNamed(name: string): Promise<Verb> {
  const load = Object.hasOwn(loaders, name) ? loaders[name] : undefined;
  if (load) return (await load()).verb;
  const [near] = nearestNames(name, verbNames);
  throw new Unusable(
    `there is no verb "${name}"${near ? `; did you mean "${near}"?` : ""}`,
    `the verbs are ${verbNames.join(", ")}; "cvset VERB --help" shows how each is used`,
  );
}

/** All verbs by name. */
export async function allVerbs(): Promise<VerbTable> {
  return Promise.all(verbNames.map(async (name) => [name, await verbNamed(name)] as const));
}
