import { choice } from "../codec/choice.js";
import { level } from "../codec/level.js";
import { record } from "../codec/record.js";
import { variant } from "../codec/variant.js";
import { cv } from "../cv/place.js";
import { momentumScale } from "./momentum.js";
import { pwmPeriodCodec } from "./pwm-period.js";

/**
 * Settings of the motor drive that not every decoder has, as features to spread into a description or to
 * take one by one.
 *
 * S-9.2.2 (July 2012), CV 9, 10, 23, 24, 25 and 65.
 * @example
 * import { CvSet } from "cvset";
 * import { motor } from "cvset/standard";
 * motor.pwmPeriod.decode(CvSet.from({ 9: 0 })); // 131
 * motor.pwmPeriod.encode(1000, { nearest: true }).toJSON().cvs; // { "9": 94 }
 * motor.feedbackCutout.encode(64).toJSON().cvs; // { "10": 64 }
 * motor.kickStart.encode(20).toJSON().cvs; // { "65": 20 }
 * motor.speedTableOrMidStep.decode(CvSet.from({ 25: 2 })); // { kind: "factory-table", number: "linear" }
 * motor.speedTableOrMidStep.decode(CvSet.from({ 25: 137 })); // { kind: "mid-step", step: 10 }
 * motor.momentumAdjustment.decode(CvSet.from({ 23: 138, 24: 1 })).acceleration; // { seconds: 8.96, direction: "subtract" }
 */
export const motor = /* @__PURE__ */ Object.freeze({
  /**
   * The total pulse width modulation period of the motor drive, CV 9, in microseconds: (131 + 4m) * 2^e,
   * with m in bits 0-4 and e in bits 5-7; 131-32640 in 256 steps. Another period is an error that names its
   * neighbours, unless the nearest is asked for.
   *
   * Printed copies of the standard lose the superscript and read "2e". It is taken as a power: times 2e,
   * every period with e = 0 would be 0.
   *
   * S-9.2.2 (July 2012), CV 9.
   */
  pwmPeriod: /* @__PURE__ */ pwmPeriodCodec(),
  /**
   * The speed step above which back-EMF control cuts off, CV 10: 1-128. The standard gives 0 no meaning;
   * `"not-used"` for it is common practice.
   *
   * S-9.2.2 (July 2012), CV 10.
   */
  feedbackCutout: /* @__PURE__ */ level(/* @__PURE__ */ cv(10), {
    min: 1,
    max: 128,
    names: { "not-used": 0 },
    label: "EMF feedback cutout",
    note: "Speed step above which back-EMF control cuts off.",
    source: "S-9.2.2 (July 2012), CV 10",
  }),
  /**
   * The kick start, CV 65: extra drive from stop to step 1, 0-255. The standard gives no unit.
   *
   * S-9.2.2 (July 2012), CV 65.
   */
  kickStart: /* @__PURE__ */ level(/* @__PURE__ */ cv(65), {
    label: "Kick start",
    source: "S-9.2.2 (July 2012), CV 65",
  }),
  /**
   * The speed table of the decoder, or the step at which Vmid applies: CV 25. 2-127 choose one of the
   * decoder's own speed tables (2 is `"linear"`; 0 and 1 are unused). 128-154 give the step of 28 at which
   * Vmid applies, 1-27: the value minus 127.
   *
   * The standard prints the range as 128-154, one value more than the 26 positions that it names. Either 128
   * is position 1, and 154 would be position 27, or 129 is (the value minus 128), and 128 has none. The first
   * reading is taken here; `check` has a note for 128 and 154. 155-255 are out of range.
   *
   * S-9.2.2 (July 2012), CV 25.
   */
  speedTableOrMidStep: /* @__PURE__ */ variant(
    /* @__PURE__ */ cv(25).bit(7),
    {
      "factory-table": {
        value: 0,
        label: "a speed table of the decoder's own",
        fields: {
          number: /* @__PURE__ */ level(/* @__PURE__ */ cv(25).bits(0, 6), {
            min: 3,
            max: 127,
            names: { unused: 0, "unused-1": 1, linear: 2 },
            label: "Number of the table",
            source: "S-9.2.2 (July 2012), CV 25",
          }),
        },
      },
      "mid-step": {
        value: 1,
        label: "the step at which Vmid applies",
        fields: {
          step: /* @__PURE__ */ level(/* @__PURE__ */ cv(25).bits(0, 6), {
            min: 1,
            max: 27,
            // 128 is step 1: bit 7 alone, so 0 in these bits.
            offset: 1,
            label: "Step of 28",
            source: "S-9.2.2 (July 2012), CV 25",
          }),
        },
      },
    },
    { label: "Speed table or mid step", source: "S-9.2.2 (July 2012), CV 25" },
  ),
  /**
   * The adjustments of momentum: CV 23 is added to CV 3 or subtracted from it, CV 24 to or from CV 4. Each
   * is an amount in seconds between stop and full speed, 0 to 113.792, and a direction. They are two
   * values, because there are two zeros. `adjustedMomentum` gives the sum.
   *
   * S-9.2.2 (July 2012), CV 23 and 24.
   */
  momentumAdjustment: /* @__PURE__ */ record(
    { acceleration: /* @__PURE__ */ adjustment(23, 3), deceleration: /* @__PURE__ */ adjustment(24, 4) },
    { label: "Adjustment of momentum", source: "S-9.2.2 (July 2012), CV 23 and 24" },
  ),
});

/* @__NO_SIDE_EFFECTS__ */
function adjustment(number: number, base: number) {
  const source = `S-9.2.2 (July 2012), CV ${number}`;
  return record(
    {
      seconds: level(cv(number).bits(0, 6), {
        ...momentumScale,
        label: `Adjustment of CV ${base}`,
        source: `${source} bits 0-6`,
      }),
      direction: choice(
        cv(number).bit(7),
        { add: 0, subtract: 1 },
        { label: "Added or subtracted", source: `${source} bit 7` },
      ),
    },
    { label: `Adjustment of CV ${base}`, source },
  );
}
