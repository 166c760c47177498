import fc from "fast-check";

/** How many times the usual number of cases a property is tried, for what shows only in few of them. */
export const timesUsual = (times: number): number => times * (fc.readConfigureGlobal().numRuns ?? 100);
