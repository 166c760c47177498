import { choice } from "../codec/choice.js";
import { record } from "../codec/record.js";
import { cv } from "../cv/place.js";
import { defineDecoder } from "../decoder/decoder.js";
import { accessory, accessoryAliases } from "./accessory.js";
import { speedTableOrMidStep } from "./cv25.js";
import { biDirectional2012 } from "./cv28.js";
import { expandedManufacturer, manufacturer, userIdentification, version } from "./identity.js";
import { indexPage } from "./index-page.js";
import { lock } from "./lock.js";
import { factoryDefaults, locomotive } from "./locomotive.js";
import { accelerationAdjustment, decelerationAdjustment } from "./momentum.js";
import { feedbackCutout, pwmPeriod } from "./motor.js";
import { alternateModeFunctions, automaticStopping, packetTimeout, powerSources } from "./power.js";
import { kickStart } from "./speed.js";
import { decoderLoad, dynamicFlags, errorInformation, fuel, water } from "./status.js";

/**
 * What kind of decoder this is, CV 29 bit 7, as a multi-function decoder has it: 0. The bit of an accessory
 * decoder is an error here, and is never written.
 *
 * S-9.2.2 (July 2012), CV 29 bit 7.
 * @example
 * import { CvSet } from "cvset";
 * import { decoderType } from "cvset/standard";
 * decoderType.decode(CvSet.from({ 29: 6 })); // "multifunction"
 */
export const decoderType = /* @__PURE__ */ choice(
  /* @__PURE__ */ cv(29).bit(7),
  { multifunction: 0 },
  { label: "Kind of decoder", clause: "S-9.2.2 (July 2012), CV 29 bit 7" },
);

/**
 * What kind of decoder this is, CV 29 bit 7, as an accessory decoder has it: 1. The bit of a
 * multi-function decoder is an error here, and is never written.
 *
 * S-9.2.2 (July 2012), accessory CV 29 bit 7.
 * @example
 * import { CvSet } from "cvset";
 * import { accessoryType } from "cvset/standard";
 * accessoryType.decode(CvSet.from({ 29: 128 })); // "accessory"
 */
export const accessoryType = /* @__PURE__ */ choice(
  /* @__PURE__ */ cv(29).bit(7),
  { accessory: 1 },
  { label: "Kind of decoder", clause: "S-9.2.2 (July 2012), accessory CV 29 bit 7" },
);

/**
 * A multi-function decoder that knows the standard and nothing else: it reads the CVs of any such decoder
 * as far as the standard goes. CV 28 is read by the 2012 edition.
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
 * An accessory decoder that knows the standard and nothing else: it reads the CVs of any such decoder as
 * far as the standard goes, the aliases from CV 513 up included.
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

// A spread is no constant to a bundler; within a function it can be dropped with it.
function multifunctionFeatures() {
  return {
    ...locomotive,
    decoderType,
    version,
    manufacturer,
    expandedManufacturer,
    userIdentification,
    pwmPeriod,
    feedbackCutout,
    kickStart,
    speedTableOrMidStep,
    accelerationAdjustment,
    decelerationAdjustment,
    packetTimeout,
    powerSources,
    alternateModeFunctions,
    automaticStopping,
    biDirectionalConfig: biDirectional2012,
    lock,
    indexPage,
    errorInformation,
    decoderLoad,
    dynamicFlags,
    fuel,
    water,
  };
}

function accessoryFeatures() {
  return {
    ...accessory,
    decoderType: accessoryType,
    version,
    manufacturer,
    indexPage,
    aliases: /* @__PURE__ */ record(accessoryAliases, { label: "Aliases from CV 513 up" }),
  };
}
