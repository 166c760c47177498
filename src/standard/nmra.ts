import { record } from "../codec/record.js";
import { defineDecoder } from "../decoder/decoder.js";
import { accessory, accessoryAliases } from "./accessory.js";
import { biDirectional2012 } from "./cv28.js";
import { accessoryType, multifunctionType } from "./decoder-type.js";
import { identity } from "./identity.js";
import { indexPage } from "./index-page.js";
import { lock } from "./lock.js";
import { factoryDefaults, locomotive } from "./locomotive.js";
import { motor } from "./motor.js";
import { power } from "./power.js";
import { status } from "./status.js";

/**
 * A multi-function decoder with all features of the standard and no others. It reads the CVs of any
 * multi-function decoder as far as the standard goes. CV 28 has the meaning of the 2012 edition.
 *
 * S-9.2.2 (July 2012), Table 1.
 * @example
 * import { CvSet } from "cvset";
 * import { nmra } from "cvset/standard";
 * const result = nmra.tryDecode(CvSet.from({ 19: 160 }));
 * result.value?.consist; // { address: 32, reversed: true }
 */
export const nmra = /* @__PURE__ */ defineDecoder({
  id: "nmra",
  name: "NMRA standard, multi-function decoder",
  kind: "multifunction",
  note: "The CVs that S-9.2.2 (July 2012) lays down, whoever made the decoder.",
  features: /* @__PURE__ */ multifunctionFeatures(),
  factory: factoryDefaults,
});

/**
 * An accessory decoder with all features of the standard and no others, the aliases from CV 513 up
 * included. It reads the CVs of any accessory decoder as far as the standard goes.
 *
 * S-9.2.2 (July 2012), Table 3.
 * @example
 * import { CvSet } from "cvset";
 * import { nmraAccessory } from "cvset/standard";
 * const result = nmraAccessory.tryDecode(CvSet.from({ 1: 5, 9: 1, 29: 128 }));
 * result.value?.address; // { kind: "accessory", number: 69 }
 */
export const nmraAccessory = /* @__PURE__ */ defineDecoder({
  id: "nmra-accessory",
  name: "NMRA standard, accessory decoder",
  kind: "accessory",
  note: "The CVs that S-9.2.2 (July 2012) lays down, whoever made the decoder.",
  features: /* @__PURE__ */ accessoryFeatures(),
  // Table 3: the first address.
  factory: { 1: 1, 9: 0 },
});

// Bundlers drop a call that is marked as pure, but no object with a spread.
function multifunctionFeatures() {
  return {
    ...locomotive,
    decoderType: multifunctionType,
    ...identity,
    ...motor,
    ...power,
    biDirectionalConfig: biDirectional2012,
    lock,
    indexPage,
    ...status,
  };
}

function accessoryFeatures() {
  const { version, manufacturer } = identity;
  return {
    ...accessory,
    decoderType: accessoryType,
    version,
    manufacturer,
    indexPage,
    aliases: /* @__PURE__ */ record(accessoryAliases, { label: "Aliases from CV 513 up" }),
  };
}
