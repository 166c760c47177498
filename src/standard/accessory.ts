import { choice } from "../codec/choice.js";
import { flag } from "../codec/flag.js";
import { flags } from "../codec/flags.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { variant } from "../codec/variant.js";
import { cv } from "../cv/place.js";
import { addressRanges } from "./address.js";

// The CVs of an accessory decoder. Each codec is made twice: for the CVs from 1 up (`first` is 0), and for
// their aliases 512 above (`first` is 512).

/** The citation of a codec. */
function sourceOf(first: number, what: string): string {
  return `S-9.2.2 (July 2012), ${what}${first ? ", as an alias (Table 3)" : ""}`;
}

/* @__NO_SIDE_EFFECTS__ */
function addressAt(first: number) {
  const low = cv(first + 1);
  const high = cv(first + 9);
  // These bits are no part of a decoder address, but may be left from an output address. As the highest bits
  // of the number, they must be 0 for a number in range.
  const spare = high.bits(3, 7).with(low.bits(6, 7));
  return variant(
    cv(first + 29).bit(6),
    {
      accessory: {
        value: 0,
        label: "decoder address",
        fields: {
          number: level(spare.with(high.bits(0, 2)).with(low.bits(0, 5)), {
            ...addressRanges.accessory,
            label: "Decoder address",
            source: sourceOf(first, "accessory CV 1 and 9"),
          }),
        },
      },
      "accessory-output": {
        value: 1,
        label: "output address",
        fields: {
          number: level(high.with(low), {
            ...addressRanges["accessory-output"],
            label: "Output address",
            source: sourceOf(first, "accessory CV 1 and 9"),
          }),
        },
      },
    },
    { label: "Address", source: sourceOf(first, "accessory CV 29 bit 6, CV 1 and 9") },
  );
}

/* @__NO_SIDE_EFFECTS__ */
function auxiliaryAt(first: number) {
  return flags(cv(first + 2), [1, 2, 3, 4, 5, 6, 7, 8], {
    label: "Outputs with an auxiliary input",
    source: sourceOf(first, "accessory CV 2"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function timeOnAt(first: number) {
  const time = (output: number) =>
    level(cv(first + 2 + output), {
      min: 1,
      names: { continuous: 0 },
      label: `Time on F${output}`,
      source: sourceOf(first, `accessory CV ${2 + output}`),
    });
  return record(
    { F1: time(1), F2: time(2), F3: time(3), F4: time(4) },
    { label: "Time on", source: sourceOf(first, "accessory CV 3-6") },
  );
}

/* @__NO_SIDE_EFFECTS__ */
function versionAt(first: number) {
  return level(cv(first + 7), {
    label: "Maker's version number",
    note: "Read-only.",
    source: sourceOf(first, "CV 7"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function manufacturerAt(first: number) {
  return level(cv(first + 8), {
    label: "Maker's number",
    note: "Read-only.",
    source: sourceOf(first, "CV 8"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function biDirectionalConfigAt(first: number) {
  return flags(cv(first + 28).bits(0, 0), ["unsolicited"], {
    label: "Bi-directional communication (2012)",
    source: sourceOf(first, "accessory CV 28"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function decoderTypeAt(first: number) {
  return choice(
    cv(first + 29).bit(7),
    { accessory: 1 },
    { label: "Kind of decoder", source: sourceOf(first, "accessory CV 29 bit 7") },
  );
}

/* @__NO_SIDE_EFFECTS__ */
function biDirectionalAt(first: number) {
  return flag(cv(first + 29).bit(3), {
    label: "Bi-directional communication",
    source: sourceOf(first, "accessory CV 29 bit 3"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function packetsAt(first: number) {
  return choice(
    cv(first + 29).bit(5),
    { basic: { value: 0, label: "basic packets" }, extended: { value: 1, label: "extended packets" } },
    { label: "Packets", source: sourceOf(first, "accessory CV 29 bit 5") },
  );
}

/**
 * The address of an accessory decoder, CV 1 and 9. CV 29 bit 6 chooses between a decoder address, 0-511
 * (the low six bits in CV 1, the high three in CV 9, all others 0; all decoders obey 511), and an output
 * address, 0-2047 (modulo 256 in CV 1, divided by 256 in CV 9). With extended packets (CV 29 bit 5) the
 * decoder answers to an extended accessory address: `accessoryAddressInUse` gives it.
 *
 * S-9.2.2 (July 2012), CV 1 and 9, does not settle which packets an output address answers. Its formula says only
 * what CV 1 and CV 9 hold. The same paragraph says that decoders of either method answer the same packet at
 * CV 1 = 1, CV 9 = 0, which the formula alone does not give: as the eleven address bits of a packet, output
 * address 1 would be the second pair of outputs of decoder address 0. The reading taken here keeps both:
 * output address 1 is the first pair of decoder address 1, 2 its second, 5 the first of decoder address 2.
 * Packets, plans and the simulated decoder use this reading, and a plan for such an address has a note.
 *
 * S-9.2.2 (July 2012), accessory CV 1, 9 and 29 bit 6; S-9.2.1 (July 2012), accessory packets.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryAddress } from "cvset/standard";
 * accessoryAddress.decode(CvSet.from({ 1: 5, 9: 1, 29: 128 })); // { kind: "accessory", number: 69 }
 * accessoryAddress.decode(CvSet.from({ 1: 5, 9: 1, 29: 192 })); // { kind: "accessory-output", number: 261 }
 */
export const accessoryAddress = /* @__PURE__ */ addressAt(0);

/**
 * The settings that the standard gives an accessory decoder, as features to spread into a description or to
 * take one by one.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @example
 * import { cv, CvSet, defineDecoder, flag } from "cvset";
 * import { accessory } from "cvset/standard";
 * const decoder = defineDecoder({
 *   id: "example-a1", name: "Example A1", kind: "accessory",
 *   features: { ...accessory, slowMotion: flag(cv(40).bit(0)) },
 *   factory: { 1: 1, 9: 0, 29: 128, 40: 0 },
 * });
 * decoder.encode({ address: { kind: "accessory", number: 69 } }).toJSON(); // { "1": 5, "9": 1, "29": 128, "40": 0 }
 * accessory.packets.decode(CvSet.from({ 29: 160 })); // "extended"
 * accessory.auxiliaryActivation.decode(CvSet.from({ 2: 5 })); // [1, 3]
 * accessory.timeOn.encode({ F1: 20, F2: "continuous" }).toJSON().cvs; // { "3": 20, "4": 0 }
 */
export const accessory = /* @__PURE__ */ Object.freeze({
  address: accessoryAddress,
  /**
   * The packets that the decoder obeys, CV 29 bit 5: `"basic"` or `"extended"`.
   *
   * S-9.2.2 (July 2012), accessory CV 29 bit 5.
   */
  packets: /* @__PURE__ */ packetsAt(0),
  /**
   * Whether the decoder uses bi-directional communication, CV 29 bit 3. CV 28 chooses how.
   *
   * S-9.2.2 (July 2012), accessory CV 29 bit 3.
   */
  biDirectional: /* @__PURE__ */ biDirectionalAt(0),
  /**
   * Bi-directional communication, CV 28, as the 2012 edition prints it: unsolicited transmission, bit 0. Bit
   * 1 is not used and bits 2-7 are reserved there; they are not touched.
   *
   * S-9.2.2 (July 2012), accessory CV 28.
   */
  biDirectionalConfig: /* @__PURE__ */ biDirectionalConfigAt(0),
  /**
   * The outputs that an auxiliary input also works, CV 2, by number, 1-8.
   *
   * S-9.2.2 (July 2012), accessory CV 2.
   */
  auxiliaryActivation: /* @__PURE__ */ auxiliaryAt(0),
  /**
   * How long the functions F1-F4 stay on, CV 3-6: 1-255, or `"continuous"`, 0. The standard gives no unit.
   *
   * S-9.2.2 (July 2012), accessory CV 3-6.
   */
  timeOn: /* @__PURE__ */ timeOnAt(0),
});

/**
 * The settings of {@link accessory} in the CVs 512 above (513 and up), where decoders may show them a second
 * time. That older ones have them there only is from memory.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryAliases } from "cvset/standard";
 * accessoryAliases.address.decode(CvSet.from({ 513: 5, 521: 1, 541: 128 })); // { kind: "accessory", number: 69 }
 */
export const accessoryAliases = /* @__PURE__ */ Object.freeze({
  address: /* @__PURE__ */ addressAt(512),
  packets: /* @__PURE__ */ packetsAt(512),
  decoderType: /* @__PURE__ */ decoderTypeAt(512),
  biDirectional: /* @__PURE__ */ biDirectionalAt(512),
  biDirectionalConfig: /* @__PURE__ */ biDirectionalConfigAt(512),
  auxiliaryActivation: /* @__PURE__ */ auxiliaryAt(512),
  timeOn: /* @__PURE__ */ timeOnAt(512),
  version: /* @__PURE__ */ versionAt(512),
  manufacturer: /* @__PURE__ */ manufacturerAt(512),
});
