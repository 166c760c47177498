#!/usr/bin/env node
// biome-ignore-all lint/suspicious/noTemplateCurlyInString: the texts are pieces of source code
// Wrong lines, put in one at a time; each must make a test fail. Random mutants (npm run mutate) find what nobody
// thought of; these are mistakes that once went unnoticed, or that someone might well make.
//
//   node tests/mutation/lines.mjs            every line
//   node tests/mutation/lines.mjs momentum   those with this word in their name, file or folder
//
// The files of this clone are not touched: a copy is changed. Exit status 1 when a line survives, or is no longer there.
import { spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, unlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

/** Name, file, what stands there, what is put in its place; the test folders where another than the file's fails. */
export const lines = [
  // cv
  [
    "a place of several CVs is written low byte first",
    "cv/place.ts",
    "let i = this.parts.length - 1; i >= 0; i--",
    "let i = 0; i < this.parts.length; i++",
  ],
  ["a run of bits has one bit too many", "cv/place.ts", "width: high - low + 1 }", "width: high - low + 2 }"],
  ["CV 1024 is no CV", "cv/name.ts", "export const lastCv = 1024;", "export const lastCv = 1023;"],
  [
    "CV 31 and 32 of a page are swapped",
    "cv/name.ts",
    "(high * 256 + low + 1) * 1024",
    "(low * 256 + high + 1) * 1024",
  ],
  // codec
  [
    "a table of 14 CVs has the last but one twice",
    "codec/run.ts",
    "v13 = b[k + 13]!;\n  return (v0 | v1 | v2 | v3 | v4 | v5 | v6 | v7 | v8 | v9 | v10 | v11 | v12 | v13) < 0",
    "v13 = b[k + 12]!;\n  return (v0 | v1 | v2 | v3 | v4 | v5 | v6 | v7 | v8 | v9 | v10 | v11 | v12 | v13) < 0",
  ],
  [
    "a table of 14 CVs has two of them swapped",
    "codec/run.ts",
    "    : [v0, v1, v2, v3, v4, v5, v6, v7, v8, v9, v10, v11, v12, v13];",
    "    : [v0, v1, v2, v4, v3, v5, v6, v7, v8, v9, v10, v11, v12, v13];",
  ],
  ["a table of 28 CVs has a wrong one", "codec/run.ts", "v20 = b[k + 20]!", "v20 = b[k + 19]!"],
  [
    "a table of 14 CVs overlooks that one is absent",
    "codec/run.ts",
    "v9 | v10 | v11 | v12 | v13) < 0\n    ? undefined\n    : [v0, v1, v2, v3, v4, v5, v6, v7, v8, v9, v10, v11, v12, v13];",
    "v9 | v10 | v11 | v12) < 0\n    ? undefined\n    : [v0, v1, v2, v3, v4, v5, v6, v7, v8, v9, v10, v11, v12, v13];",
  ],
  [
    "a run of CVs is written in reverse",
    "codec/run.ts",
    "b[k + i] = value;",
    "b[k + values.length - 1 - i] = value;",
  ],
  [
    "an option of the last bit pattern is not read",
    "codec/choice.ts",
    "value <= ones; value++",
    "value < ones; value++",
  ],
  [
    "a case of a variant leaves the discriminator",
    "codec/variant.ts",
    "      place.write(cvs, stored);\n",
    "",
  ],
  // decoder
  [
    "a part is overridden in silence",
    "decoder/from-json.ts",
    "if (Object.hasOwn(features, name) || Object.hasOwn(own, name))",
    "if (Object.hasOwn(features, name))",
  ],
  [
    "two parts override each other in silence",
    "decoder/from-json.ts",
    "if (Object.hasOwn(features, name) || Object.hasOwn(own, name))",
    "if (Object.hasOwn(own, name))",
  ],
  [
    "diff loses the words of settings over several CVs",
    "decoder/diff.ts",
    "places.some((place) => place.cv === cv &&",
    "places.length === 1 && places.some((place) => place.cv === cv &&",
  ],
  [
    "diff looks at the first CV of a setting only",
    "decoder/diff.ts",
    "places.some((place) => place.cv === cv && place.mask & bits)",
    "places[0]?.cv === cv && places[0].mask & bits",
  ],
  [
    "bits that nobody owns are not told in shared bytes",
    "decoder/explain.ts",
    "else if (rest) changes.push",
    "else if (rest > 255) changes.push",
  ],
  // standard
  [
    "the amount of a momentum adjustment has a bit too few",
    "standard/momentum.ts",
    "const amount = adjustment & 127;",
    "const amount = adjustment & 63;",
  ],
  [
    "a momentum adjustment is added, whatever its sign",
    "standard/momentum.ts",
    "adjustment & 128 ? rate - amount : rate + amount",
    "rate + amount",
  ],
  [
    "the adjustment of deceleration is that of acceleration",
    "standard/momentum.ts",
    'known.get(change === "acceleration" ? 23 : 24)',
    "known.get(23)",
  ],
  ["the trim is taken as n/127", "standard/curve-in-use.ts", "(level * trim) / 128", "(level * trim) / 127"],
  [
    "F3 reaches the outputs of F4",
    "standard/function-map.ts",
    "F3: /* @__PURE__ */ flags(/* @__PURE__ */ cv(37), [1, 2, 3, 4, 5, 6, 7, 8]",
    "F3: /* @__PURE__ */ flags(/* @__PURE__ */ cv(37), [4, 5, 6, 7, 8, 9, 10, 11]",
  ],
  [
    "CV 25 = 154 is out of its range",
    "standard/curve-in-use.ts",
    "cv25 >= 128 && cv25 <= 154",
    "cv25 >= 128 && cv25 < 154",
  ],
  // packets
  [
    "the page of a CV is one too high where the CV is a multiple of 4",
    "packets/access-mode.ts",
    "(((cv - 1) >> 2) + 1) & 255",
    "((cv >> 2) + 1) & 255",
  ],
  [
    "the page of CV 1021 to 1024 is 1",
    "packets/access-mode.ts",
    "(page === 0 ? 256 : page)",
    "(page === 0 ? 1 : page)",
  ],
  [
    "the high bits of an accessory address are not complemented",
    "packets/address-bytes.ts",
    "128 | ((~(decoder >> 6) & 7) << 4)",
    "128 | (((decoder >> 6) & 7) << 4)",
  ],
  ["first byte E7 is reserved", "packets/address-bytes.ts", "if (first > 231)", "if (first > 230)"],
  [
    "a reading overlooks bit 7",
    "packets/reading.ts",
    "let bit = 7; bit >= 1; bit--",
    "let bit = 6; bit >= 1; bit--",
  ],
  // plan
  [
    "a CV known to be 0 is not known",
    "plan/target.ts",
    "return byte < 0 ? undefined : byte;",
    "return byte <= 0 ? undefined : byte;",
  ],
  [
    "a CV known to be 0 counts as unknown",
    "plan/write.ts",
    'return was === undefined ? "unknown"',
    'return !was ? "unknown"',
  ],
  [
    "a plan does not warn of a lock that is not known",
    "plan/lock-writes.ts",
    "(needed || has(16)) && matters ? unknown : []",
    "[]",
  ],
  [
    "a plan does not write CV 18 after CV 17 alone",
    "plan/implied-writes.ts",
    'if (low !== undefined) again("extended-low", 18, low);',
    "if (low !== undefined) void low;",
  ],
  [
    "verify compares whole bytes where bits are wanted",
    "plan/verify.ts",
    "else if ((found ^ value) & mask) {",
    "else if (found !== value) {",
  ],
  [
    "verify overlooks what was not read",
    "plan/verify.ts",
    "if (found === undefined) unread.push(cv);\n    else if",
    "if (found === undefined) return;\n    else if",
  ],
  ["an interrupted plan resets the decoder again", "plan/resume.ts", "    factoryReset: false,\n", ""],
  // simulator
  [
    "a register 8 of any value is the factory reset",
    "simulator/simulated-decoder.ts",
    'if (register === 8 && operation === "write" && value === 8)',
    'if (register === 8 && operation === "write")',
  ],
  [
    "CV 8 of any value is the factory reset",
    "simulator/simulated-decoder.ts",
    "cv === 8 && mask === 255 && bits === 8 &&",
    "cv === 8 && mask === 255 &&",
  ],
  [
    "a decoder at long N hears short N",
    "simulator/running-state.ts",
    "own && own.kind === to.kind && own.number === to.number",
    "own && own.number === to.number",
  ],
  [
    "a decoder obeys a write on the main at the consist address",
    "simulator/simulated-decoder.ts",
    'if (addressee !== "own") return false;\n        const { operation, cv, value, bit } = instruction;',
    "const { operation, cv, value, bit } = instruction;",
  ],
  [
    "a decoder acts on the first packet",
    "simulator/simulated-decoder.ts",
    "return this.#count === 2 && this.#serve(packet);",
    "return this.#serve(packet);",
  ],
  [
    "CV 17 takes effect before CV 18",
    "simulator/cv-store.ts",
    "cv === 17 && this.get(18) !== undefined) {",
    "cv === 17 && this.get(18) === undefined) {",
  ],
  // files
  [
    "a JSON fault in item 10 and on is misplaced",
    "files/json-tree.ts",
    "/^\\d{1,9}$/.test(key)",
    "/^\\d$/.test(key)",
  ],
  ["CV001 is refused", "files/spelling.ts", 'return digits.replace(/^0+(?=\\d)/, "");', "return digits;"],
  [
    "hexadecimal is read as decimal",
    "files/spelling.ts",
    "/^(?:0x[\\da-f]+|0b[01]+)$/i.test(text) ? Number(text)",
    "/^(?:0x[\\da-f]+|0b[01]+)$/i.test(text) ? Number(text.slice(2))",
  ],
  [
    "a CV given twice with two values is taken",
    "files/collected.ts",
    "if ((old.value & both) !== (value & both)) this.#twice(key, old, { mask, value }, offset, first);\n    else {",
    "{",
  ],
  [
    "a CV without its page is not noted",
    "files/collected.ts",
    "if (key >= firstIndexed && key <= lastIndexed) found.push(key);",
    "if (key > lastIndexed && key <= lastIndexed) found.push(key);",
  ],
  [
    "bits of a list have one bit too few",
    "files/list.ts",
    "(2 << high) - (1 << low)",
    "(1 << high) - (1 << low)",
  ],
  [
    "a column is counted from 0",
    "files/lines.ts",
    "offset - (this.#starts[low] as number) + 1)",
    "offset - (this.#starts[low] as number))",
  ],
  // check
  [
    "SARIF has no source",
    "check/report/sarif.ts",
    "properties: { cvs, source, fix },",
    "properties: { cvs, fix },",
  ],
  ["the rules of SARIF have no source", "check/report/sarif.ts", "    properties: { source },\n", ""],
  [
    "JUnit does not fail at strict warnings",
    "check/report/junit.ts",
    '(severity === "error" || (strict === true && severity === "warning"))',
    'severity === "error"',
  ],
  [
    "a finding of a text report has no source",
    "check/report/text.ts",
    "message, rule, fix, source, silenced } = finding;",
    'message, rule, fix, silenced } = finding;\n  const source = "";',
  ],
  [
    "a consist address that is the own one is a warning",
    "check/rules/consist.ts",
    'places: whole(19), severity: "note" }',
    "places: whole(19) }",
  ],
  [
    "CV 8 of any value is told as the factory reset",
    "check/rules/space.ts",
    "key === 8 && cvs.get(8) === 8",
    "key === 8",
  ],
  // motion
  [
    "a measured length has no limits",
    "motion/measurements.ts",
    "if (!this.#check((problems) => problems.number(unit, value, limits), where)) return { given: true };",
    "",
  ],
  [
    "a default length has no limits",
    "motion/measurements.ts",
    'const good = problems.number("distance", distance, distanceLimits);',
    "const good = true;",
  ],
  [
    "a length of 0 is within limits",
    "motion/problems.ts",
    'min: 0, max: 1e6, above: true, unit: "m"',
    'min: 0, max: 1e6, unit: "m"',
  ],
  [
    "an unusual length gives no warning",
    "motion/measurements.ts",
    "    this.#checkLength(metres, place);\n    return { given: true, metres };",
    "    return { given: true, metres };",
  ],
  [
    "a mile is 1,600 m",
    "motion/units.ts",
    "const metresPerSecondPerMph = 0.44704;",
    "const metresPerSecondPerMph = 0.44444;",
  ],
  [
    "momentum takes the speed of the step above",
    "motion/stopping.ts",
    "step === 0 ? 0 : (speeds[step - 1] as number)",
    "step === 0 ? 0 : (speeds[Math.min(step, speeds.length - 1)] as number)",
  ],
  // meaning
  [
    "decibels are those of power",
    "meaning/quantity.ts",
    "20 * Math.log10(share / 100)",
    "10 * Math.log10(share / 100)",
  ],
  [
    "28 steps count as 126",
    "meaning/quantity.ts",
    "max <= 14 ? 14 : max <= 28 ? 28 : mostSteps",
    "max <= 14 ? 14 : mostSteps",
  ],
  // sheet
  [
    "the sheet does not warn of mains wiring",
    "sheet/cautions.ts",
    "; leave mains wiring to a licensed person",
    "",
  ],
  ["a formula in a CSV sheet is not disarmed", "sheet/csv.ts", "/^[=+\\-@\\t\\r]/", "/^[+\\-@\\t\\r]/"],
  [
    "the track of a sheet is not scaled",
    "sheet/running.ts",
    "number(distance / ratio, 2)",
    "number(distance, 2)",
  ],
  // connection
  [
    "an answer cut off in the middle stops a run that is taken up",
    "connection/take-up.ts",
    "if (lines.slice(i + 1).every((each) => !each.trim())) break;",
    "",
  ],
  [
    "what CV 1 clears stays known",
    "connection/knowledge.ts",
    "if (before !== undefined && before & bits) this.#cvs.delete(cleared);",
    "",
  ],
  [
    "a write that may have moved the page is not noted",
    "connection/knowledge.ts",
    'if (cv === "31" || cv === "32") this.#indexMoved = true;',
    'if (cv === "31") this.#indexMoved = true;',
  ],
  // testing
  [
    "the law of own bits does not look",
    "testing/laws.ts",
    "if (changed & ~(own.get(cv) ?? 0))",
    "if (changed & ~(own.get(cv) ?? 255))",
  ],
  [
    "the law of coming back is not checked",
    "testing/laws.ts",
    "return equal(back, value) ? undefined :",
    "return equal(back, back) ? undefined :",
  ],
  // cli
  [
    "a proof with differences says that all is as it was meant",
    "cli/verbs/verify.ts",
    'if (result.ok) io.line("Everything is there',
    'if (!result.unread.length) io.line("Everything is there',
    "cli/golden.test.ts",
  ],
  [
    "a proof does not name what differs",
    "cli/verbs/verify.ts",
    "for (const { message } of result.mismatches) io.line(message);",
    "",
    "cli/golden.test.ts",
  ],
  [
    "a proof with differences ends with status 0",
    "cli/verbs/verify.ts",
    '    if (result.ok) io.line("Everything is there as it was meant.");\n    return result.ok ? 0 : 1;',
    '    if (result.ok) io.line("Everything is there as it was meant.");\n    return 0;',
    "cli/golden.test.ts",
  ],
  [
    "check skips the folders in a folder",
    "cli/walk.ts",
    "if (!skipped.has(entry.name)) folders.push(path);",
    "",
    "cli/golden.test.ts",
  ],
  [
    "check --strict does not fail by warnings",
    "cli/verbs/check.ts",
    "return hasFailed(report.counts, { strict }) ? 1 : 0;",
    "return hasFailed(report.counts, {}) ? 1 : 0;",
    "cli/golden.test.ts",
  ],
  [
    "a silenced finding is an annotation in CI",
    "cli/verbs/check.ts",
    "if (finding.silenced === undefined) await io.flow(",
    "await io.flow(",
    "cli/golden.test.ts",
  ],
  [
    "match reads km/h as mph",
    "cli/verbs/match.ts",
    'const from = unit === "mph" ? mph : kmh;',
    "const from = mph;",
    "cli/golden.test.ts",
  ],
  [
    "match takes a tolerance in percent for a share",
    "cli/verbs/match.ts",
    "tolerance: tolerance / 100",
    "tolerance",
    "cli/golden.test.ts",
  ],
  [
    "match ends with status 0 though a speed is out of reach",
    "cli/verbs/match.ts",
    'unreached.some(({ reason }) => reason !== "compromise")',
    'unreached.some(({ reason }) => reason === "compromise")',
    "cli/golden.test.ts",
  ],
  [
    "encode --format csv writes a list",
    "cli/verbs/encode.ts",
    'format === "lines" ? "line" : format',
    'format === "lines" ? "line" : format === "csv" ? "list" : format',
    "cli/golden.test.ts",
  ],
  [
    "encode forgets the name of the base",
    "cli/verbs/encode.ts",
    "    ...(baseName !== undefined && { name: baseName }),\n",
    "",
    "cli/golden.test.ts",
  ],
  [
    "decode --partial ends with status 0 though something is missing",
    "cli/verbs/decode.ts",
    "return failed ? 1 : 0;",
    "return 0;",
    "cli/golden.test.ts",
  ],
  [
    "decode does not say that the plain standard is assumed",
    "cli/verbs/decode.ts",
    "  io.say(`note: ${input.title} names no decoder; it is read as ${decoder.id}, the plain standard`);\n",
    "",
    "cli/golden.test.ts",
  ],
  [
    "the warning of a factory reset is not printed",
    "cli/verbs/plan.ts",
    "if (pause) io.line(`${indent}! ${pause.warning}`);",
    "",
    "cli/golden.test.ts",
  ],
  [
    "the warning of a factory reset is not in the list to type in",
    "cli/verbs/plan.ts",
    '      rows.push(["", "!", pause.warning]);\n',
    "",
    "cli/golden.test.ts",
  ],
  [
    "plan --undescribed leave writes all the same",
    "cli/verbs/plan.ts",
    "return wanted.without(...others);",
    "return wanted;",
    "cli/golden.test.ts",
  ],
  ["plan ignores --all", "cli/verbs/plan.ts", "    all: options.all,\n", "", "cli/golden.test.ts"],
  [
    "parts are ignored",
    "cli/decoders.ts",
    "{ parts: { ...parts, locomotive }, codecs }",
    "{ codecs }",
    "cli/golden.test.ts",
  ],
  [
    "diff ends with status 0",
    "cli/verbs/diff.ts",
    'if (changes.length === 0) io.line("No difference.");\n    return changes.length ? 1 : 0;',
    'if (changes.length === 0) io.line("No difference.");\n    return 0;',
    "cli/golden.test.ts",
  ],
  [
    "--pick takes a line by the number before it",
    "cli/input.ts",
    'pick === "1" ? [name] : []',
    'pick === "0" ? [name] : []',
    "cli/golden.test.ts",
  ],
  [
    "translate ends with status 0 while something is undecided",
    "cli/verbs/translate.ts",
    'result === "undecided") ? 1 : 0',
    'result === "undecided") ? 0 : 0',
    "cli/golden.test.ts",
  ],
  [
    "translate takes a question for an answer",
    "cli/verbs/translate.ts",
    "entry?.to === null || entry?.use === null",
    "entry?.to === null",
    "cli/golden.test.ts",
  ],
  [
    "new writes over a file",
    "cli/verbs/new.ts",
    "if (output !== undefined && !io.toFolder && (await isTaken(output)))",
    "if (false)",
    "cli/golden.test.ts",
  ],
  [
    "set writes though a value is refused",
    "cli/verbs/set.ts",
    "if (!after.ok && (before.ok || refused(after.issues)))",
    "if (false)",
    "cli/golden.test.ts",
  ],
  [
    "explain ends with status 0 though a value stands for nothing",
    "cli/verbs/explain.ts",
    "const failed = wrong.length > 0 || isPart;",
    "const failed = isPart;",
    "cli/golden.test.ts",
  ],
  [
    "address gives a bit by its mask",
    "cli/verbs/address.ts",
    "mask === 255 ? value : Number((value & mask) !== 0)",
    "value",
    "cli/golden.test.ts",
  ],
  [
    "an option that is given twice is taken",
    "cli/usage.ts",
    'else if (values[token.name] !== undefined && option?.kind !== "flag")',
    "else if (false)",
    "cli/golden.test.ts",
  ],
  [
    "an option without its value is taken",
    "cli/usage.ts",
    "if (value === undefined) return new Complaint(`${rawName} needs a value`);",
    "",
    "cli/golden.test.ts",
  ],
  [
    "sheet forgets the date",
    "cli/verbs/sheet.ts",
    "...(date !== undefined && { date }),",
    "",
    "cli/golden.test.ts",
  ],
  [
    "the demo always claims that it came back byte for byte",
    "cli/verbs/demo.ts",
    "if (back === words) io.line",
    "if (back) io.line",
    "cli/demo.test.ts",
  ],
  [
    "describe tells no factory value",
    "cli/verbs/describe.ts",
    "if (factory.length) io.line(",
    "if (false) io.line(",
    "cli/golden.test.ts",
  ],
  [
    "a file that is read is written over",
    "cli/write-files.ts",
    "if (!replaces && identity !== undefined && inputs.includes(identity))",
    "if (false)",
    "cli/golden.test.ts cli/writing.test.ts",
  ],
  [
    "results of one name go into one file",
    "cli/results.ts",
    "stems.next(nameOf(input))",
    "fileStem(nameOf(input))",
    "cli/golden.test.ts",
  ],
].map(([name, file, find, replace, tests = file.split("/")[0]]) => ({
  name,
  file: `src/${file}`,
  find,
  replace,
  tests,
}));

const root = fileURLToPath(new URL("../..", import.meta.url));

/** Makes the copy, tries the lines, and returns the names of those that survive or are no longer there. */
function run(chosen) {
  const copy = mkdtempSync(join(tmpdir(), "cvset-lines-"));
  const survivors = [];
  try {
    for (const name of [
      "src",
      "tests",
      "docs",
      "package.json",
      "tsconfig.json",
      "README.md",
      "DEVELOPERS.md",
    ])
      cpSync(join(root, name), join(copy, name), { recursive: true });
    symlinkSync(join(root, "node_modules"), join(copy, "node_modules"));
    for (const { name, file, find, replace, tests } of chosen) {
      const path = join(copy, file);
      const text = readFileSync(path, "utf8");
      if (text.split(find).length !== 2) {
        survivors.push(name);
        console.log(`GONE      ${file}: ${name}  (not there, or several times: ${find})`);
        continue;
      }
      writeFileSync(
        path,
        text.replace(find, () => replace),
      );
      const config = ["--config", "tests/vitest.config.ts", "--typecheck.enabled=false", "--bail=1"];
      const folders = tests.split(" ").map((name) => `tests/${name}${name.endsWith(".ts") ? "" : "/"}`);
      const vitest = join("node_modules", "vitest", "vitest.mjs");
      const env = { ...process.env, NO_COLOR: "1" };
      const args = [vitest, "run", ...config, ...folders];
      const { status, stdout, stderr } = spawnSync("node", args, { cwd: copy, encoding: "utf8", env });
      const failed = / FAIL .*/.exec(stdout + stderr)?.[0] ?? "";
      if (status !== 0 && !failed)
        throw new Error(`the tests of ${tests} could not be run:\n${stdout}${stderr}`);
      if (status === 0) survivors.push(name);
      console.log(`${status === 0 ? "SURVIVES" : "caught  "}  ${file}: ${name}  ${failed}`);
      writeFileSync(path, text);
    }
  } finally {
    unlinkSync(join(copy, "node_modules"));
    rmSync(copy, { recursive: true });
  }
  return survivors;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [word = ""] = process.argv.slice(2);
  const chosen = lines.filter(({ name, file }) => `${name} ${file}`.includes(word));
  const survivors = run(chosen);
  console.log(`${chosen.length} wrong lines, ${survivors.length} survive or are gone`);
  process.exitCode = survivors.length ? 1 : 0;
}
