import { cv, level, record, type ValueOf, variant } from "cvset";
import { expectTypeOf, test } from "vitest";

test("a level without names is a number, wherever it stands", () => {
  const alone = level(cv(1), { max: 3 });
  const inRecord = record({ x: alone, y: level(cv(2), { max: 3 }) });
  const inCase = variant(cv(2).bit(7), { p: { value: 0, fields: { x: level(cv(1)) } } });
  expectTypeOf<ValueOf<typeof inRecord>>().toEqualTypeOf<{ readonly x: number; readonly y: number }>();
  expectTypeOf<ValueOf<typeof inCase>["x"]>().toEqualTypeOf<number>();
});

test("a level with names keeps them as literals, wherever it stands", () => {
  const inRecord = record({ x: level(cv(1), { min: 1, names: { none: 0 } }) });
  expectTypeOf<ValueOf<typeof inRecord>["x"]>().toEqualTypeOf<number | "none">();
});
