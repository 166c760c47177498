import { choice } from "../codec/choice.js";
import { flag } from "../codec/flag.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { several } from "../codec/several.js";
import { variant } from "../codec/variant.js";
import { cv } from "../cv/place.js";
import { addressRanges } from "./address.js";

// The CVs of an accessory decoder. Each codec is made for the CVs as they are numbered today, and for
// their aliases 512 above; `first` is 0 or 512.

/** Where a codec stands in the standard. */
function clause(first: number, what: string): string {
  return `S-9.2.2 (July 2012), ${what}${first ? ", as an alias (Table 3)" : ""}`;
}

/* @__NO_SIDE_EFFECTS__ */
function addressAt(first: number) {
  const low = cv(first + 1);
  const high = cv(first + 9);
  // These bits hold no decoder address, but may hold what is left of an output address. As the top of the
  // number, its range keeps them 0.
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
            clause: clause(first, "accessory CV 1 and 9"),
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
            clause: clause(first, "accessory CV 1 and 9"),
          }),
        },
      },
    },
    { label: "Address", clause: clause(first, "accessory CV 29 bit 6, CV 1 and 9") },
  );
}

/* @__NO_SIDE_EFFECTS__ */
function auxiliaryAt(first: number) {
  return several(cv(first + 2), [1, 2, 3, 4, 5, 6, 7, 8], {
    label: "Outputs with an auxiliary input",
    clause: clause(first, "accessory CV 2"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function timeOnAt(first: number) {
  const time = (output: number) =>
    level(cv(first + 2 + output), {
      min: 1,
      names: { continuous: 0 },
      label: `Time on F${output}`,
      clause: clause(first, `accessory CV ${2 + output}`),
    });
  return record(
    { F1: time(1), F2: time(2), F3: time(3), F4: time(4) },
    { label: "Time on", clause: clause(first, "accessory CV 3-6") },
  );
}

/* @__NO_SIDE_EFFECTS__ */
function versionAt(first: number) {
  return level(cv(first + 7), {
    label: "Maker's version number",
    note: "Read-only.",
    clause: clause(first, "accessory CV 7"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function manufacturerAt(first: number) {
  return level(cv(first + 8), {
    label: "Maker's number",
    note: "Read-only.",
    clause: clause(first, "accessory CV 8"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function biDirectionalConfigAt(first: number) {
  return several(
    cv(first + 28).bits(0, 2),
    ["unsolicited", "asymmetrical-broadcast", "signal-controlled-broadcast"],
    { label: "Bi-directional communication (2012)", clause: clause(first, "accessory CV 28") },
  );
}

/* @__NO_SIDE_EFFECTS__ */
function biDirectionalAt(first: number) {
  return flag(cv(first + 29).bit(3), {
    label: "Bi-directional communication",
    clause: clause(first, "accessory CV 29 bit 3"),
  });
}

/* @__NO_SIDE_EFFECTS__ */
function packetsAt(first: number) {
  return choice(
    cv(first + 29).bit(5),
    { basic: { value: 0, label: "basic packets" }, extended: { value: 1, label: "extended packets" } },
    { label: "Packets", clause: clause(first, "accessory CV 29 bit 5") },
  );
}

/**
 * The address of an accessory decoder, CV 1 and 9, told apart by CV 29 bit 6. By decoder address: 0-511,
 * the low six bits in CV 1, the high three in CV 9, all others 0. By output address: CV 1 + 256 * CV 9 - 1, which is
 * 0-2047 (nine bits of decoder address and two for the pair of outputs, as in the packet).
 *
 * S-9.2.2 (July 2012), accessory CV 1, 9 and 29 bit 6; S-9.2.1 (July 2012), D.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryAddress } from "cvset/standard";
 * accessoryAddress.decode(CvSet.from({ 1: 5, 9: 1, 29: 128 })); // { kind: "accessory", number: 69 }
 * accessoryAddress.decode(CvSet.from({ 1: 5, 9: 1, 29: 192 })); // { kind: "accessory-output", number: 260 }
 */
export const accessoryAddress = /* @__PURE__ */ addressAt(0);

/**
 * The outputs that an auxiliary input also works, accessory CV 2, by number, 1-8. What the bits mean is
 * from memory; the standard's table has only the name.
 *
 * S-9.2.2 (July 2012), Table 3, CV 2.
 * @example
 * import { CvSet } from "cvset";
 * import { auxiliaryActivation } from "cvset/standard";
 * auxiliaryActivation.decode(CvSet.from({ 2: 5 })); // [1, 3]
 */
export const auxiliaryActivation = /* @__PURE__ */ auxiliaryAt(0);

/**
 * How long the functions F1-F4 of an accessory decoder stay on, CV 3-6: 1-255 (the maker gives the unit),
 * or `"continuous"`, which is 0.
 *
 * S-9.2.2 (July 2012), accessory CV 3-6.
 * @example
 * import { timeOn } from "cvset/standard";
 * timeOn.encode({ F1: 20, F2: "continuous" }).toJSON().cvs; // { "3": 20, "4": 0 }
 */
export const timeOn = /* @__PURE__ */ timeOnAt(0);

/**
 * Which packets an accessory decoder obeys, CV 29 bit 5: `"basic"` or `"extended"`.
 *
 * S-9.2.2 (July 2012), accessory CV 29 bit 5.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryPackets } from "cvset/standard";
 * accessoryPackets.decode(CvSet.from({ 29: 160 })); // "extended"
 */
export const accessoryPackets = /* @__PURE__ */ packetsAt(0);

/**
 * Everything of the standard that sets up an accessory decoder, as features to spread into a description:
 * its address, its packets, the times that outputs stay on, auxiliary inputs, and bi-directional
 * communication.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @example
 * import { cv, defineDecoder, flag } from "cvset";
 * import { accessory } from "cvset/standard";
 * const decoder = defineDecoder({
 *   id: "example-a1", name: "Example A1", kind: "accessory",
 *   features: { ...accessory, slowMotion: flag(cv(40).bit(0)) },
 *   factory: { 1: 1, 9: 0, 29: 128, 40: 0 },
 * });
 * decoder.encode({ address: { kind: "accessory", number: 69 } }).toJSON(); // { "1": 5, "9": 1, "29": 128, "40": 0 }
 */
export const accessory = {
  address: accessoryAddress,
  packets: accessoryPackets,
  biDirectional: /* @__PURE__ */ biDirectionalAt(0),
  biDirectionalConfig: /* @__PURE__ */ biDirectionalConfigAt(0),
  auxiliaryActivation,
  timeOn,
};

/**
 * The same settings as {@link accessory}, in the CVs 512 above (513 and up), where decoders may show
 * them a second time or, being older, only.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryAliases } from "cvset/standard";
 * accessoryAliases.address.decode(CvSet.from({ 513: 5, 521: 1, 541: 128 })); // { kind: "accessory", number: 69 }
 */
export const accessoryAliases = {
  address: /* @__PURE__ */ addressAt(512),
  packets: /* @__PURE__ */ packetsAt(512),
  biDirectional: /* @__PURE__ */ biDirectionalAt(512),
  biDirectionalConfig: /* @__PURE__ */ biDirectionalConfigAt(512),
  auxiliaryActivation: /* @__PURE__ */ auxiliaryAt(512),
  timeOn: /* @__PURE__ */ timeOnAt(512),
  version: /* @__PURE__ */ versionAt(512),
  manufacturer: /* @__PURE__ */ manufacturerAt(512),
};
