import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { XMLParser } from "fast-xml-parser";
import { describe, expect, test } from "vitest";
import { run } from "./run.js";

const scratch = mkdtempSync(join(tmpdir(), "cvset-"));
const file = (name: string, content: string): string => {
  const path = join(scratch, name);
  writeFileSync(path, content);
  return path;
};
const refused = { status: 2, stdout: "" };

describe("curve", () => {
  test("a straight line has its ends, and rises evenly", async () => {
    const { status, stdout } = await run(["curve", "--start", "4", "--top", "255", "--json"]);
    expect(status).toBe(0);
    const { cvs } = JSON.parse(stdout);
    expect(Object.keys(cvs)).toEqual(Array.from({ length: 28 }, (_, i) => String(67 + i)));
    expect([cvs["67"], cvs["94"]]).toEqual([4, 255]);
    // The straight line from 4 to 255 over 27 steps, rounded.
    expect(Object.values(cvs)).toEqual(Array.from({ length: 28 }, (_, i) => Math.round(4 + (251 * i) / 27)));
  });

  test("--mid bends it, and the plain list is one that decode reads", async () => {
    const { stdout } = await run(["curve", "--start", "4", "--top", "255", "--mid", "60"]);
    expect(stdout).toMatch(/^CV67 = 4$/m);
    // The middle step is 14 of 28 (S-9.2.2 (July 2012), CV 25).
    expect(stdout).toMatch(/^CV80 = 60$/m);
    const { stdout: explained } = await run(["explain", "-"], { input: `${stdout}CV29 = 16\n` });
    expect(explained).toMatch(/speed\.kind +speed table/);
  });

  test("--scale moves the table of a CV set", async () => {
    const { stdout } = await run(["curve", "--scale", "no9.cvs.json", "--top", "180", "--json"]);
    const { cvs } = JSON.parse(stdout);
    expect([cvs["67"], cvs["94"]]).toEqual([6, 180]);
  });

  test("--svg draws it", async () => {
    const path = join(scratch, "curve.svg");
    expect((await run(["curve", "--start", "4", "--top", "255", "--svg", path])).status).toBe(0);
    const svg = new XMLParser().parse(readFileSync(path, "utf8")).svg;
    expect(svg.title).toBe("Speed table");
  });

  test.each([
    [[], /--top N is needed/],
    [["--top", "200"], /--start N is needed/],
    [["--start", "4", "--top", "300"], /top: 300 is out of range/],
    [["--start", "200", "--top", "100"], /top/],
    [["--start", "4", "--top", "255", "--shape", "zigzag"], /linear, power, s-shaped, smooth/],
    [["--start", "4", "--top", "255", "--shape", "smooth", "--points", "8-40"], /8:40,20:180/],
    [["--start", "four", "--top", "255"], /--start four: expected a whole number/],
  ])("%j is refused", async (args, reason) => {
    const ran = await run(["curve", ...args]);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(reason);
  });
});

describe("match", () => {
  const measured = ["match", "runs.csv", "--scale", "O", "--length", "2"];

  test("tables and trims for a wished speed, with the error that is left", async () => {
    const { status, stdout } = await run([
      ...measured,
      "--start",
      "2",
      "--top",
      "28",
      "--tolerance",
      "4",
      "--json",
    ]);
    expect(status).toBe(0);
    const { wished, locomotives } = JSON.parse(stdout);
    expect(wished).toHaveLength(28);
    // One mile an hour is 0.44704 m/s, by definition of the mile (1609.344 m).
    expect(wished[27]).toBeCloseTo(28 * 0.44704, 9);
    expect(locomotives.map(({ name }: { name: string }) => name)).toEqual(["No. 9", "No. 11"]);
    for (const { cvs, unreached } of locomotives) {
      expect(unreached).toEqual([]);
      expect(Object.keys(cvs)).toEqual(Array.from({ length: 30 }, (_, i) => String(66 + i)));
      expect(cvs["94"]).toBeGreaterThan(cvs["67"]);
    }
  });

  test("a speed out of reach is listed: status 1", async () => {
    const { status, stdout } = await run([...measured, "--start", "2", "--top", "90"]);
    expect(status).toBe(1);
    expect(stdout).toMatch(/# step 28, forward: 90 mph is not reached \(too fast\)/);
  });

  test("runs given by step are read with what the decoder held", async () => {
    const runs = file("steps.csv", "step,seconds\n2,stands\n4,150.2\n10,40.1\n18,14.0\n28,6.2\n");
    const args = [
      "match",
      runs,
      "--scale",
      "O",
      "--length",
      "2",
      "--as",
      "slowest",
      "--tolerance",
      "20",
      "--json",
    ];
    const { status, stdout } = await run([...args, "--drive", "no9.cvs.json"]);
    // Few runs leave steps that are not reached, which is a finding and no refusal.
    expect(status).not.toBe(2);
    // The table of No. 9 has level 235 at step 28, its forward trim is 1.
    expect(JSON.parse(stdout).locomotives[0].cvs["94"]).toBeLessThanOrEqual(235);
    const without = await run(args);
    expect(without).toMatchObject(refused);
    expect(without.stderr).toMatch(/steps\.csv:2: step: needs the speed table .*--drive CVS/);
  });

  test("how far each runs to a stop, and a picture of it", async () => {
    const svg = join(scratch, "stop.svg");
    const wish = ["--start", "2", "--top", "28", "--tolerance", "4", "--deceleration", "10"];
    const { status, stdout } = await run([...measured, ...wish, "--stop-svg", svg, "--json"]);
    expect(status).toBe(0);
    for (const { stop } of JSON.parse(stdout).locomotives) {
      // CV * 0.896 s from full speed to a stop: S-9.2.2 (July 2012), CV 4.
      expect(stop.seconds).toBeCloseTo(8.96, 9);
      // Between half and all of top speed times that time, for a curve that rises about evenly.
      expect(stop.distance).toBeGreaterThan(0.4 * 28 * 0.44704 * 8.96);
      expect(stop.distance).toBeLessThan(28 * 0.44704 * 8.96);
    }
    expect(readFileSync(join(scratch, "stop-2.svg"), "utf8")).toMatch(/^<svg/);
    expect((await run([...measured, ...wish])).stdout).toMatch(
      /# from step 28 to a stop: 8\.96 s, .* cm of track/,
    );
    expect(await run([...measured, "--as", "slowest", "--stop-svg", svg])).toMatchObject(refused);
  });

  test("as the slowest, drawn one file each", async () => {
    const svg = join(scratch, "match.svg");
    expect((await run([...measured, "--as", "slowest", "--tolerance", "10", "--svg", svg])).status).toBe(0);
    for (const n of [1, 2]) expect(readFileSync(join(scratch, `match-${n}.svg`), "utf8")).toMatch(/^<svg/);
  });

  test.each([
    [["match", "runs.csv"], /scale|length|metres|cm/],
    [[...measured], /say the wish/],
    [[...measured, "--as", "No. 12"], /No\. 12/],
    [[...measured, "--as", "slowest", "--top", "30"], /not both/],
    [["match", "runs.csv", "--scale", "QQ", "--length", "2", "--as", "slowest"], /QQ/],
  ])("%j is refused", async (args, reason) => {
    const ran = await run(args);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(reason);
  });

  test("a table that is wrong is refused with its lines", async () => {
    const path = file("bad.csv", "level,mph\n20,2\n300,fast\n");
    const ran = await run(["match", path, "--as", "slowest"]);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(/bad\.csv:3: /);
  });
});
