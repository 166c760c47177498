import { diff } from "../../decoder/diff.js";
import { decoderFor } from "../decoders.js";
import { givenPair } from "../given-cvs.js";
import { defineVerb, shared } from "../verb.js";

export const verb = defineVerb({
  summary: "What differs between two files, in words and CVs",
  arguments: [
    { name: "A", what: "a CV set, settings or a plan", kind: "file" },
    { name: "B", what: "another", kind: "file" },
  ],
  about: `Settings are compared with a CV set in what they name, and with other settings on top of the factory values.
Exit status 1 when anything differs. A CV that only one of them has is shown as missing in the other.`,
  options: { decoder: shared.decoder, pick: shared.pick, json: shared.json },
  examples: [
    "cvset diff no9.cvs.json read-back.txt",
    "cvset diff before.settings.json after.settings.json --json",
  ],
  async run({ arguments: [a, b], options, io }) {
    const [from, to] = await givenPair(a, b, io, options);
    const decoder = from.decoder ?? to.decoder ?? (await decoderFor(options.decoder, undefined, io));
    const changes = diff(decoder, from.cvs, to.cvs);
    if (options.json) {
      io.json({
        changes: changes.map(({ cv, from: before, to: after, paths, words }) => ({
          cv,
          from: before ?? null,
          to: after ?? null,
          paths,
          words: words.map(({ path, from: was, to: is }) => ({ path, from: was ?? null, to: is ?? null })),
        })),
      });
      return changes.length ? 1 : 0;
    }
    for (const { cv, from: before, to: after, words } of changes) {
      io.line(`CV ${cv}: ${before ?? "missing"} -> ${after ?? "missing"}`);
      for (const { path, from: was, to: is } of words) {
        const said = (text: string | undefined, value: number | undefined): string =>
          text ?? (value === undefined ? "missing" : "stands for nothing");
        io.line(`  ${path}: ${said(was, before)} -> ${said(is, after)}`);
      }
    }
    if (changes.length === 0) io.line("No difference.");
    return changes.length ? 1 : 0;
  },
});
