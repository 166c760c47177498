// The ESM and the CommonJS build in one program, as when two packages that use this one were built differently: values
// of one go into functions of the other.
export interface Esm {
  // Without the classes that nobody makes with new: the compiler does not find generic constructors alike.
  readonly cvset: Omit<typeof import("cvset"), "Codec" | "Decoder">;
  readonly standard: typeof import("cvset/standard");
  readonly check: typeof import("cvset/check");
  readonly plan: typeof import("cvset/plan");
  readonly simulator: typeof import("cvset/simulator");
  readonly connection: typeof import("cvset/connection");
  readonly meaning: typeof import("cvset/meaning");
  readonly sheet: typeof import("cvset/sheet");
  readonly files: typeof import("cvset/files");
}
export interface Cjs {
  readonly cvset: typeof import("cvset", { with: { "resolution-mode": "require" }});
  readonly standard: typeof import("cvset/standard", { with: { "resolution-mode": "require" }});
  readonly check: typeof import("cvset/check", { with: { "resolution-mode": "require" }});
  readonly plan: typeof import("cvset/plan", { with: { "resolution-mode": "require" }});
  readonly simulator: typeof import("cvset/simulator", { with: { "resolution-mode": "require" }});
  readonly connection: typeof import("cvset/connection", { with: { "resolution-mode": "require" }});
  readonly meaning: typeof import("cvset/meaning", { with: { "resolution-mode": "require" }});
  readonly sheet: typeof import("cvset/sheet", { with: { "resolution-mode": "require" }});
  readonly files: typeof import("cvset/files", { with: { "resolution-mode": "require" }});
}

/** A decoder, and sets of it before and after a change. */
function madeBy({ cvset, standard }: Esm) {
  const { choice, cv, defineDecoder } = cvset;
  const decoder = defineDecoder({
    id: "packed-p3",
    name: "Packed P3",
    kind: "multifunction",
    features: {
      ...standard.locomotive,
      whistle: choice(
        cv(218),
        { one: 6, three: { value: 5, means: "three-chime whistle" } },
        { means: "whistle" },
      ),
    },
    factory: {
      ...standard.factoryDefaults,
      2: 4,
      3: 5,
      4: 5,
      5: 220,
      6: 90,
      17: 192,
      18: 3,
      19: 0,
      21: 0,
      22: 0,
      29: 6,
      218: 6,
    },
  });
  const before = decoder.defaults();
  const after = decoder.encode({ address: { kind: "extended", number: 1234 }, whistle: "three" });
  return { decoder, before, after };
}

/** What the two builds do together, each as a call that gives the same as with one build alone. */
async function worked(value: Esm, by: Esm): Promise<Record<string, unknown>> {
  const { decoder, before, after } = madeBy(value);
  const same = madeBy(by);
  const found: Record<string, unknown> = {};
  const work = async (name: string, call: () => unknown): Promise<void> => {
    try {
      found[name] = JSON.stringify(await call());
    } catch (error) {
      found[name] = `threw ${error}`;
    }
  };
  await work("equals", () => same.after.equals(after));
  await work("decode", () => same.decoder.decode(after));
  await work("encode with a base", () => same.decoder.encode({ whistle: "three" }, before));
  await work("apply a patch", () => same.before.apply(decoder.patch({ whistle: "three" })));
  await work("explain", () => by.cvset.explain(decoder, after));
  await work("describe", () => by.cvset.describe(decoder));
  await work("diff", () => by.cvset.diff(decoder, before, after));
  await work("codecs in a record", () => {
    const place = value.cvset.cv(216);
    const lamp = by.cvset.record({ led: value.cvset.flag(place.bit(7)), way: by.cvset.flag(place.bit(6)) });
    return [lamp.encode({ led: true, way: false }), lamp.decode(value.cvset.CvSet.from({ 216: 64 }))];
  });
  await work("addresses", () => by.standard.addressInUse(after));
  await work("check", () => by.check.checkSet(after.with(19, 32), { decoder }));
  await work("plan", () => by.plan.plan(before, after));
  await work("plan of a patch", () => by.plan.plan(before, decoder.patch({ whistle: "three" })));
  await work("verify", () => by.plan.verify(value.plan.plan(before, after), same.after));
  await work("carry out", async () => {
    const simulated = new by.simulator.SimulatedDecoder({ kind: "multifunction", factory: before });
    const station = value.connection.simulatedStation(simulated);
    const { done, holds } = await by.connection.carryOut(value.plan.plan(before, after), station, {
      from: before,
    });
    return [done, holds];
  });
  await work("translate", () => by.meaning.translate(after, decoder, same.decoder));
  await work("sheet", () =>
    by.sheet.sheetMarkdown([by.sheet.setUpSheet({ name: "No. 9", decoder, cvs: after })]),
  );
  await work("write a file", () => by.files.writeCvSet({ cvs: after }, "list"));
  await work("an error of the other", () => {
    try {
      return decoder.encode({ whistle: "two" as "one" });
    } catch (error) {
      const known = error instanceof by.cvset.CvError;
      return [known, known && error.issues.map((issue) => by.cvset.messageOf(issue))];
    }
  });
  return found;
}

/** The names of what goes wrong when the two builds meet, with what came out; none when all is well. */
export async function mixed(esm: Esm, cjs: Cjs): Promise<string[]> {
  // One build is good for the other, also for the compiler.
  const [one, two]: [Esm, Esm] = [esm, cjs];
  const alone = await worked(one, one);
  const pairs = [
    ["CommonJS values in ESM functions", await worked(two, one)],
    ["ESM values in CommonJS functions", await worked(one, two)],
  ] as const;
  const broken = Object.entries(alone).filter(([, text]) => `${text}`.startsWith("threw"));
  return [
    ...broken.map(([name, text]) => `ESM alone: ${name}: ${text}`),
    ...pairs.flatMap(([pair, found]) =>
      Object.entries(found)
        .filter(([name, text]) => text !== alone[name])
        .map(([name, text]) => `${pair}: ${name}: ${`${text}`.slice(0, 200)}`),
    ),
  ];
}
