// What the types promise to a user, for every version of TypeScript: the literals of a description are kept, a wrong
// setting is refused, and nothing has become `any`.
import { type CvPatch, type CvSet, choice, cv, flag, level, record, type SettingsOf } from "cvset";
import type { Finding } from "cvset/check";
import type { CarryOutResult } from "cvset/connection";
import type { Plan } from "cvset/plan";
import { decoder, type Settings } from "./program.js";

type Equal<A, B> = (<T>() => T extends A ? 1 : 2) extends <T>() => T extends B ? 1 : 2 ? true : false;
const isTrue = <_ extends true>(): void => {};

isTrue<Equal<Settings["whistle"], "one" | "three">>();
isTrue<Equal<Settings["volume"], number>>();
isTrue<Equal<Extract<Settings["drains"], string>, "off">>();
isTrue<Equal<Exclude<Settings["drains"], string>["seconds"], number>>();
isTrue<Equal<Settings["lamp"]["effect"], "plain" | "flickers">>();
isTrue<Equal<Settings["lamp"]["led"], boolean>>();
isTrue<Equal<SettingsOf<typeof decoder>, Settings>>();
isTrue<Equal<ReturnType<typeof decoder.encode>, CvSet>>();
const patch: CvPatch = decoder.patch({ lamp: { effect: "flickers" } });
isTrue<Equal<ReturnType<typeof patch.toJSON>["cvs"], Readonly<Record<string, number>>>>();
isTrue<Equal<Finding["severity"], "error" | "warning" | "note">>();
isTrue<Equal<CarryOutResult["done"], "proved" | "written" | "stopped">>();
isTrue<Equal<NonNullable<CarryOutResult["rest"]>, Plan>>();

// A level by itself: its value is any number, or a name that it has.
const speed = level(cv(2), { names: { still: 0 } });
isTrue<Equal<ReturnType<typeof speed.decode>, number | "still">>();
const lamp = record({ effect: choice(cv(3), { on: 1, off: 0 }), led: flag(cv(4).bit(0)) });
isTrue<Equal<NonNullable<Parameters<typeof lamp.encode>[0]["effect"]>, "on" | "off">>();

// @ts-expect-error An option that the description does not have.
decoder.encode({ whistle: "two" });
// @ts-expect-error A setting that the description does not have.
decoder.encode({ whistel: "one" });
// @ts-expect-error A text where a number belongs.
decoder.encode({ volume: "50" });
// @ts-expect-error A result is not changed.
decoder.decode(decoder.defaults()).volume = 3;
