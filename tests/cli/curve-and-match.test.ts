import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { XMLParser } from "fast-xml-parser";
import { describe, expect, test } from "vitest";
import { newFolder } from "../support/folders.js";
import { examples, run } from "./run.js";

const scratch = newFolder();
const file = (name: string, content: string): string => {
  const path = join(scratch, name);
  writeFileSync(path, content);
  return path;
};
const no9 = readFileSync(`${examples}no9.cvs.json`, "utf8");
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

  test("--mid bends it, and the list goes on into every verb as it is", async () => {
    const { stdout } = await run(["curve", "--start", "4", "--top", "255", "--mid", "60"]);
    expect(stdout).toMatch(/^CV67 = 4 +# step 1$/m);
    // The middle step is 14 of 28 (S-9.2.2 (July 2012), CV 25).
    expect(stdout).toMatch(/^CV80 = 60$/m);
    // The table is in use when bit 4 of CV 29 is set (S-9.2.2 (July 2012), CV 29).
    expect(stdout).toMatch(/^CV29 bit 4 = 1 /m);
    const { status, stdout: planned } = await run(["plan", "no9.cvs.json", "-", "--json"], { input: stdout });
    expect(status).toBe(0);
    expect(JSON.parse(planned).steps.find(({ cv }: { cv: string }) => cv === "80")).toMatchObject({
      value: 60,
    });
    expect((await run(["diff", "no9.cvs.json", "-", "--json"], { input: stdout })).stdout).toContain('"80"');
  });

  test("so does the JSON", async () => {
    const { stdout } = await run(["curve", "--start", "4", "--top", "255", "--json"]);
    expect(JSON.parse(stdout).bits).toEqual([{ cv: "29", mask: 16, value: 16 }]);
    expect((await run(["plan", "no9.cvs.json", "-"], { input: stdout })).status).toBe(0);
  });

  test("--from moves the curve of a CV set, and reads what curve wrote", async () => {
    const { stdout } = await run(["curve", "--from", "no9.cvs.json", "--top", "180", "--json"]);
    const { cvs } = JSON.parse(stdout);
    expect([cvs["67"], cvs["94"]]).toEqual([6, 180]);
    const again = await run(["curve", "--from", "-", "--json"], { input: stdout });
    expect(JSON.parse(again.stdout).cvs).toEqual(cvs);
  });

  test("three points of a table, and the table of three points", async () => {
    const points = file("points.txt", "CV2 = 10\nCV6 = 80\nCV5 = 200\nCV29 = 2\n");
    const table = await run(["curve", "--from", points]);
    // Step 21 lies half way between step 14 at 80 and step 28 at 200.
    expect(table.stdout).toMatch(/^CV87 = 140$/m);
    const back = await run(["curve", "--from", "-", "--three-points"], { input: table.stdout });
    expect(back.stdout).toMatch(/^# the nearest three points: up to 0\.\d levels off/m);
    for (const line of [/^CV2 = 10 /m, /^CV6 = 80 /m, /^CV5 = 200 /m, /^CV29 bit 4 = 0 /m])
      expect(back.stdout).toMatch(line);
    const moved = await run(["curve", "--from", points, "--three-points", "--move-mid", "--json"]);
    expect(Object.keys(JSON.parse(moved.stdout).cvs)).toEqual(["2", "5", "6", "25"]);
  });

  test("--svg draws it, and never over the file that is read", async () => {
    const path = join(scratch, "curve.svg");
    expect((await run(["curve", "--start", "4", "--top", "255", "--svg", path])).status).toBe(0);
    const svg = new XMLParser().parse(readFileSync(path, "utf8")).svg;
    expect(svg.title).toBe("Speed table");
    const own = file("own.json", no9);
    const ran = await run(["curve", "--from", own, "--top", "180", "--svg", own]);
    expect(ran).toMatchObject(refused);
    expect(readFileSync(own, "utf8")).toBe(no9);
  });

  test.each([
    [[], /expected --top N/],
    [["--top", "200"], /expected --start N/],
    [["--start", "4", "--top", "300"], /--top: expected a number from 0 to 255, got 300/],
    [["--start", "200", "--top", "100"], /--top: expected a value that is not below the start, 200, got 100/],
    [["--start", "4", "--top", "255", "--shape", "zigzag"], /linear, power, s-shaped, smooth/],
    [["--start", "4", "--top", "255", "--shape", "smooth", "--points", "8-40"], /8:40,20:180/],
    [["--start", "four", "--top", "255"], /--start four: expected a whole number/],
    [["--from", "no9.cvs.json", "--mid", "4"], /--mid: not with --from/],
    [["--from", "no9.cvs.json", "--move-mid"], /--move-mid: only with --three-points/],
    [["--from", file("few.txt", "CV29 = 2\n")], /few\.txt: CV 2: the speed curve depends on it/],
  ])("%j is refused", async (args, reason) => {
    const ran = await run(["curve", ...args]);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(reason);
  });
});

describe("match", () => {
  const measured = ["match", "runs.csv", "--scale", "O", "--length", "2"];
  const asked = [...measured, "--start", "2", "--top", "28"];

  test("without speeds tells what each and all can run, and what to ask for: status 0", async () => {
    const { status, stdout } = await run(measured);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^No\. 9: 1\.\d+ to 3\d(\.\d+)? mph$/m);
    expect(stdout).toMatch(/^all together: 1\.\d+ to 3\d(\.\d+)? mph$/m);
    const [, start, top] = /--start (\S+) --top (\S+)/.exec(stdout) ?? [];
    expect((await run([...measured, "--start", `${start}`, "--top", `${top}`])).status).toBe(0);
    const json = JSON.parse((await run([...measured, "--json", "--unit", "km/h"])).stdout);
    expect(json.locomotives.map(({ name }: { name: string }) => name)).toEqual(["No. 9", "No. 11"]);
    expect(json.proposal.start).toBeGreaterThanOrEqual(json.common.slowest);
    expect(json.proposal.top).toBeLessThanOrEqual(json.common.fastest);
  });

  test("tables and trims for the speeds that were asked for, with what is claimed", async () => {
    const { status, stdout } = await run([...asked, "--json"]);
    expect(status).toBe(0);
    const { target, locomotives, predictions, warnings, unit } = JSON.parse(stdout);
    expect(unit).toBe("mph");
    expect([target.length, target[0], target[27]]).toEqual([28, 2, 28]);
    expect(locomotives.map(({ name }: { name: string }) => name)).toEqual(["No. 9", "No. 11"]);
    for (const { cvs, bits, unreached, within } of locomotives) {
      expect(unreached).toEqual([]);
      expect(Object.keys(cvs)).toEqual(Array.from({ length: 30 }, (_, i) => String(66 + i)));
      expect(cvs["94"]).toBeGreaterThan(cvs["67"]);
      expect(bits).toEqual([{ cv: "29", mask: 16, value: 16 }]);
      // Three timings of some seconds each cannot promise a tenth of a mile an hour.
      expect(within).toBeGreaterThan(0.3);
      expect(within).toBeLessThan(2);
    }
    for (const { steps, typical } of predictions) {
      expect(steps).toHaveLength(28);
      expect(typical).toBeGreaterThan(0.05);
      for (const step of steps) expect(Math.abs(step.forward.speed - step.target)).toBeLessThan(0.5);
    }
    expect(warnings).toEqual([]);
  });

  test("the list of each goes on into plan and diff as it is, and to a folder as a file each", async () => {
    const folder = join(scratch, "tables");
    const { status, stdout } = await run([...asked, "--output", `${folder}/`]);
    expect([status, stdout]).toEqual([0, ""]);
    expect(readdirSync(folder).sort()).toEqual(["no-11.txt", "no-9.txt"]);
    const list = readFileSync(join(folder, "no-9.txt"), "utf8");
    expect(list).toMatch(/^# No\. 9: within about \S+ mph at every step that it reaches, 19 times in 20; /);
    expect(list).toMatch(/^CV94 = \d+ +# step 28: 28 mph; expected \S+ \u00b1 \S+ and /m);
    expect(list).toMatch(/^CV29 bit 4 = 1 /m);
    expect((await run(["plan", "no9.cvs.json", join(folder, "no-9.txt")])).status).toBe(0);
    expect((await run(["diff", "no9.cvs.json", join(folder, "no-11.txt")])).status).toBe(1);
    expect(await run([...asked, "--output", join(scratch, "one.txt")])).toMatchObject(refused);
    // JSON: one object a file, or all in one.
    const objects = join(scratch, "objects");
    expect((await run([...asked, "--json", "--output", `${objects}/`])).status).toBe(0);
    expect((await run(["plan", "no9.cvs.json", join(objects, "no-9.json")])).status).toBe(0);
    const all = join(scratch, "all.json");
    expect((await run([...asked, "--json", "--output", all])).status).toBe(0);
    expect((await run(["plan", "no9.cvs.json", all, "--pick", "No. 11"])).status).toBe(0);
  });

  test("--settings writes a settings file for each", async () => {
    const { stdout } = await run([...asked, "--settings"]);
    const [first] = stdout.split(/^\}$/m);
    const { name, settings } = JSON.parse(`${first}}`);
    expect(name).toBe("No. 9");
    expect(settings.speed).toMatchObject({ kind: "table", reverseTrim: expect.any(Number) });
    expect(settings.speed.levels).toHaveLength(28);
  });

  test("a speed out of range is listed with its reason: status 1", async () => {
    const { status, stdout } = await run([...measured, "--start", "2", "--top", "90"]);
    expect(status).toBe(1);
    expect(stdout).toMatch(
      /# step 28, forward: 90 mph is out of reach, faster than it runs; \S+ mph is expected/,
    );
    const { status: slow, stdout: list } = await run([...measured, "--start", "0.2", "--top", "20"]);
    expect(slow).toBe(1);
    expect(list).toMatch(/# step 1, forward: 0\.2 mph is out of reach, slower than it runs/);
  });

  test("a slip is named with file, line and value, in text, JSON and the report: status 0", async () => {
    const text = readFileSync(`${examples}runs.csv`, "utf8").replace("14.1,14.3,14.0", "14.1,1.43,14.0");
    const path = file("slip.csv", text);
    const line = text.split("\n").findIndex((one) => one.includes("1.43")) + 1;
    const report = join(scratch, "slip.html");
    const args = ["match", path, "--scale", "O", "--length", "2", "--as", "slowest"];
    const ran = await run([...args, "--json", "--report", report]);
    expect(ran.status).toBe(0);
    expect(ran.stderr).toMatch(
      new RegExp(`slip\\.csv:${line}: warning: No\\. 9, forward: level 110: 1\\.43 s contradicts`),
    );
    expect(JSON.parse(ran.stdout).warnings).toEqual([
      { file: path, line, message: expect.stringContaining("it is left out") },
    ]);
    const page = readFileSync(report, "utf8");
    expect(page).toContain("1.43 s contradicts");
    expect(page).not.toMatch(/<script/i);
    // The result is as good as without it.
    const clean = await run([...measured, "--as", "slowest", "--json"]);
    const tops = [ran, clean].map(({ stdout }) => JSON.parse(stdout).locomotives[0].cvs["94"]);
    expect(Math.abs(tops[0] - tops[1])).toBeLessThanOrEqual(3);
  });

  test("a length in another unit is doubted", async () => {
    const { status, stderr } = await run(["match", "runs.csv", "--scale", "O", "--length", "20"]);
    expect(status).toBe(0);
    expect(stderr).toMatch(/runs\.csv: warning: a measured piece of 20 m is unusual/);
    expect(stderr).toMatch(/No\. 11, forward: level \d+ gives \d+ mph .* few models run faster than 150 mph/);
  });

  test("runs given by step are read with what the decoder held, also as curve writes it", async () => {
    const runs = file("steps.csv", "step,seconds\n2,stands\n4,150.2\n10,40.1\n18,14.0\n28,6.2\n");
    const args = ["match", runs, "--scale", "O", "--length", "2", "--as", "slowest", "--json"];
    const { status, stdout } = await run([...args, "--drive", "no9.cvs.json"]);
    expect(status).toBe(0);
    // The table of No. 9 has level 235 at step 28, its forward trim is 1.
    expect(JSON.parse(stdout).locomotives[0].cvs["94"]).toBeLessThanOrEqual(235);
    const { stdout: curve } = await run(["curve", "--start", "1", "--top", "255"]);
    expect((await run([...args, "--drive", "-"], { input: curve })).status).toBe(0);
    const without = await run(args);
    expect(without).toMatchObject(refused);
    expect(without.stderr).toMatch(/steps\.csv:2: step: a run by step needs .*--drive CVS/);
  });

  test("momentum for a length of track, a mark, and exhaust beats", async () => {
    const svg = join(scratch, "stop.svg");
    const { status, stdout } = await run([...asked, "--deceleration", "10", "--stop-svg", svg, "--json"]);
    expect(status).toBe(0);
    for (const { stop } of JSON.parse(stdout).predictions) {
      // CV * 0.896 s from full speed to a stop: S-9.2.2 (July 2012), CV 4.
      expect(stop.seconds).toBeCloseTo(8.96, 9);
      // Between half and all of top speed times that time, for a curve that rises about evenly.
      expect(stop.metres).toBeGreaterThan(0.4 * 28 * 0.44704 * 8.96);
      expect(stop.metres).toBeLessThan(28 * 0.44704 * 8.96);
      expect(stop.trackCm).toBeCloseTo((stop.metres / 48) * 100, 0);
    }
    for (const n of [1, 2]) expect(readFileSync(join(scratch, `stop-${n}.svg`), "utf8")).toMatch(/^<svg/);
    const found = await run([
      ...asked,
      "--stop-in",
      "150",
      "--start-in",
      "100",
      "--mark",
      "200",
      "--wheel",
      "42in",
    ]);
    expect(found.stdout).toMatch(/# from step 28 to a stop: \S+ s, \S+ m at full size, 1[45]\d cm of track/);
    expect(found.stdout).toMatch(
      /# for the mark at 200 cm: run on for [45]\d cm \(\S+ s\), then close the throttle/,
    );
    expect(found.stdout).toMatch(/# exhaust beats a second: \S+ at step 1, \S+ at step 14, \S+ at step 28/);
    expect(found.stdout).toMatch(/^CV3 = \d+ /m);
    const [, value] = /^CV4 = (\d+) /m.exec(found.stdout) ?? [];
    // What is left to the mark is run on; what is more than the way to the mark lies behind it.
    for (const [mark, near] of [
      [200, false],
      [50, true],
    ] as const) {
      const ran = await run([...asked, "--stop-in", "150", "--mark", `${mark}`, "--json"]);
      for (const { stop, mark: found } of JSON.parse(ran.stdout).predictions) {
        const left = mark - stop.trackCm;
        expect(Math.abs(found.runOnCm - Math.max(0, left))).toBeLessThan(1);
        expect(Math.abs(found.overshootCm - Math.max(0, -left))).toBeLessThan(1);
        if (near) expect(found.seconds).toBe(stop.seconds);
        else expect(found.seconds).toBeGreaterThan(stop.seconds);
      }
    }
    // With the present CV 4, CV 24 makes up the difference: bit 7 subtracts (S-9.2.2 (July 2012), CV 24).
    const adjusted = await run([...asked, "--stop-in", "150", "--deceleration", "30"]);
    const [, change] = /^CV24 = (\d+) /m.exec(adjusted.stdout) ?? [];
    expect(Number(change)).toBe(128 + 30 - Number(value));
    expect(adjusted.stdout).not.toMatch(/^CV4 = /m);
  });

  test("all locomotives in one picture", async () => {
    const svg = join(scratch, "match.svg");
    expect((await run([...measured, "--as", "slowest", "--svg", svg])).status).toBe(0);
    const picture = readFileSync(svg, "utf8");
    for (const name of ["No. 9, forward", "No. 9, reverse", "No. 11"]) expect(picture).toContain(`>${name}<`);
  });

  test("JSON is told by its content", async () => {
    const timed = [[30, 30.2], [12, 12.1], [8, 0.81], [5, 5.1]]; // biome-ignore format: one line
    const runs = timed.map((seconds, i) => ({ level: [40, 90, 130, 200][i], seconds }));
    const path = file("runs.data", `{"scale":"H0","m":2,\n"runs":${JSON.stringify(runs)}}`);
    const { status, stderr } = await run(["match", path]);
    expect(status).toBe(0);
    expect(stderr).toMatch(/runs\.data:2: warning: .*0\.81 s contradicts/);
    const bad = file("bad.data", '{"runs":\n[{"level":300,"mph":2}]}');
    const refused = await run(["match", bad]);
    expect(refused).toMatchObject({ status: 2, stdout: "" });
    expect(refused.stderr).toMatch(/bad\.data:2: runs\.0\.level: expected .*300/);
  });

  test.each([
    [["match", "runs.csv"], /^runs\.csv:4: seconds: .*--length METRES.*\n.*--scale SCALE/],
    [[...measured, "--start", "2"], /expected --top SPEED too/],
    [[...measured, "--tolerance", "3"], /--tolerance: only with --start and --top, or with --as/],
    [[...measured, "--as", "No. 12"], /--as No\. 12: expected slowest, or one of No\. 9, No\. 11/],
    [[...measured, "--as", "slowest", "--top", "30"], /not both/],
    [[...asked, "--mark", "30"], /--mark: only with --deceleration or --stop-in/],
    [[...asked, "--wheel", "42"], /--wheel 42: expected a diameter with its unit/],
    [[...asked, "--cylinders", "3"], /--cylinders: only with --wheel/],
    [[...asked, "--settings", "--json"], /leave --json out/],
    [["match", "runs.csv", "--scale", "QQ", "--length", "2"], /--scale: expected a scale: .*"QQ"/],
    [
      ["match", "runs.csv", "--scale", "87", "--length", "2"],
      /--scale: a number alone is not a scale.*"1:87"/,
    ],
    [["match", "runs.csv", "--length", "2", "--as", "slowest", "--stop-in", "9"], /--stop-in: needs --scale/],
  ])("%j is refused", async (args, reason) => {
    const ran = await run(args);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(reason);
  });

  test("a table that is wrong is refused with its lines", async () => {
    const path = file("bad.csv", "level,mph\n20,2\n300,fast\n");
    const ran = await run(["match", path, "--as", "slowest"]);
    expect(ran).toMatchObject(refused);
    expect(ran.stderr).toMatch(/bad\.csv:3: mph: expected a number, got "fast"/);
  });
});
