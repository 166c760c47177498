import { placesInWords } from "../../cv/places-text.js";
import { address } from "../../standard/address.js";
import { defineVerb, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "The CVs of a locomotive's address",
  arguments: [{ name: "NUMBER", what: "an address", kind: "text" }],
  usage: "[--long]",
  about: `1 to 127 is a primary (short) address, unless --long asks for an extended (long) one; from 128 to 10239
it is extended (S-9.2.2 (July 2012), CV 1, 17, 18 and CV 29 bit 5). Write CV 17 before CV 18, and CV 1 before CV 29.`,
  options: {
    long: {
      kind: "flag",
      short: "l",
      help: "an extended address, although the number would fit a primary one",
    },
    json: shared.json,
  },
  examples: ["cvset address 1234", "cvset address 3 --json"],
  async run(call) {
    const {
      arguments: [text],
      options,
      io,
    } = call;
    const number = /^\d{1,6}$/.test(text) ? Number(text) : Number.NaN;
    const long = options.long || number > 127;
    if (!(number >= (long ? 0 : 1) && number <= 10239)) {
      throw new Unusable(
        `${text} is not an address: 1 to 127 is primary, 128 to 10239 (with --long, 0 to 10239) is extended`,
      );
    }
    const patch = address.encode(long ? { kind: "extended", number } : { kind: "primary", number });
    if (options.json) io.json(patch);
    else {
      for (const { cv, mask, value } of patch) {
        const bit = mask === 255 ? value : Number((value & mask) !== 0);
        io.line(`${placesInWords([{ cv, mask }])} = ${bit}`);
      }
      for (const warning of warnings(number, long)) io.say(`note: ${warning}`);
    }
    return 0;
  },
});

function warnings(number: number, long: boolean): string[] {
  if (long && number === 0) return ["extended address 0 cannot be used with most systems (common practice)"];
  if (long && number < 128)
    return ["many systems take 1 to 127 for primary addresses only (common practice)"];
  if (!long && number >= 112) {
    return [
      "112 to 127 begin like service-mode packets; a command station holds them back for a while after a reset (S-9.2.1 (July 2012), S-9.2.3 (July 2012))",
    ];
  }
  return [];
}
