import { diff } from "../../decoder/diff.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { cvSetFrom } from "../input.js";
import { argumentsOf, shared, textOption, type Verb } from "../verb.js";

export const verb: Verb = {
  summary: "What differs between two CV sets, in words and CVs",
  usage: "A B",
  about:
    "Exit status 1 when anything differs. A CV that only one of them has is shown as missing in the other.",
  options: { decoder: shared.decoder, json: shared.json },
  examples: ["cvset diff no9.cvs.json read-back.txt", "cvset diff before.json after.json --json"],
  async run(call) {
    const { options, io } = call;
    const [a, b] = argumentsOf(call, ["one CV set", "another"]) as [string, string];
    const from = await cvSetFrom(a, io);
    const to = await cvSetFrom(b, io);
    refuseTwoDecoders(textOption(options, "decoder"), { path: a, ...from }, { path: b, ...to });
    const file = from.decoder === undefined ? { path: b, ...to } : { path: a, ...from };
    const decoder = await decoderFor(textOption(options, "decoder"), file, io);
    const changes = diff(decoder, from.cvs, to.cvs);
    if (options["json"]) io.print(`${JSON.stringify({ changes }, null, 2)}\n`);
    else {
      for (const { cv, from: before, to: after, words } of changes) {
        io.print(`CV ${cv}: ${before ?? "missing"} -> ${after ?? "missing"}\n`);
        for (const { path, from: was, to: is } of words) {
          io.print(`  ${path}: ${was === is ? `${is} (in part)` : `${was ?? "?"} -> ${is ?? "?"}`}\n`);
        }
      }
      if (changes.length === 0) io.print("No difference.\n");
    }
    return changes.length ? 1 : 0;
  },
};
