// Checking an untrusted map of CVs with general-purpose validators: which of its entries are wrong, all of them, or the
// values. Keys are CV numbers from 1 to 1024, values are bytes.
import { Ajv2020 } from "ajv/dist/2020.js";
import * as v from "valibot";
import { z } from "zod";

const cvNumber = /^(?:[1-9]\d{0,2}|10[01]\d|102[0-4])$/;

const check = new Ajv2020({ allErrors: true }).compile({
  type: "object",
  patternProperties: { [cvNumber.source]: { type: "integer", minimum: 0, maximum: 255 } },
  additionalProperties: false,
});

/** ajv checks, and makes nothing: the values are those of the map. */
export const ajv = {
  validate: (map) => (check(map) ? { ok: true, value: map } : { ok: false, problems: check.errors }),
  entryOf: ({ instancePath, params }) => params.additionalProperty ?? instancePath.slice(1),
};

const zodSchema = z.record(z.string().regex(cvNumber), z.number().int().min(0).max(255));

export const zod = {
  validate(map) {
    const { success, data, error } = zodSchema.safeParse(map);
    return success ? { ok: true, value: data } : { ok: false, problems: error.issues };
  },
  entryOf: ({ path }) => String(path[0]),
};

const valibotSchema = v.record(
  v.pipe(v.string(), v.regex(cvNumber)),
  v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(255)),
);

export const valibot = {
  validate(map) {
    const { success, output, issues } = v.safeParse(valibotSchema, map);
    return success ? { ok: true, value: output } : { ok: false, problems: issues };
  },
  entryOf: ({ path }) => String(path[0].key),
};
