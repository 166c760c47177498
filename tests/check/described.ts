import { choice, cv, flag, flags, level, record, switched } from "cvset";

/** Features for the rules of a description. */
export const features = {
  fuel: choice(cv(246).bits(5, 7), { slabwood: 6, coal: 3, oil: 1 }),
  sparkCage: flag(cv(246).bit(2)),
  drains: switched(
    cv(252).bit(1),
    record({ seconds: level(cv(249), { unit: "s", step: 0.25, min: 1.5, max: 40 }) }),
  ),
  lamp: record({ outputs: flags(cv(194), [1, 2, 3, 4, 5, 6, 7, 8]), dim: flag(cv(197).bit(3)) }),
};
