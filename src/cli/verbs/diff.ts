import { diff } from "../../decoder/diff.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { cvSetFrom } from "../input.js";
import { defineVerb, shared } from "../verb.js";

export const verb = defineVerb({
  summary: "What differs between two CV sets, in words and CVs",
  arguments: [
    { name: "A", what: "a CV set", kind: "file" },
    { name: "B", what: "another", kind: "file" },
  ],
  about:
    "Exit status 1 when anything differs. A CV that only one of them has is shown as missing in the other.",
  options: { decoder: shared.decoder, json: shared.json },
  examples: ["cvset diff no9.cvs.json read-back.txt", "cvset diff before.json after.json --json"],
  async run(call) {
    const {
      arguments: [a = "", b = ""],
      options,
      io,
    } = call;
    const from = await cvSetFrom(a, io);
    const to = await cvSetFrom(b, io);
    refuseTwoDecoders(options.decoder, { path: a, ...from }, { path: b, ...to });
    const file = from.decoder === undefined ? { path: b, ...to } : { path: a, ...from };
    const decoder = await decoderFor(options.decoder, file, io);
    const changes = diff(decoder, from.cvs, to.cvs);
    if (options.json) io.json({ changes });
    else {
      for (const { cv, from: before, to: after, words } of changes) {
        io.line(`CV ${cv}: ${before ?? "missing"} -> ${after ?? "missing"}`);
        for (const { path, from: was, to: is } of words) {
          io.line(`  ${path}: ${was === is ? `${is} (in part)` : `${was ?? "?"} -> ${is ?? "?"}`}`);
        }
      }
      if (changes.length === 0) io.line("No difference.");
    }
    return changes.length ? 1 : 0;
  },
});
