import { fileMessage, readCvSet, readJson } from "../../files/index.js";
import { tryPlanFromJson, type Verifiable, verify } from "../../plan/index.js";
import { decoderFor, refuseTwoDecoders } from "../decoders.js";
import { cvSetFrom, inFile, nameOfInput, textFrom } from "../input.js";
import { defineVerb, type Io, shared, Unusable } from "../verb.js";

export const verb = defineVerb({
  summary: "Whether what was read back is what was meant",
  arguments: [
    { name: "PLAN", what: "a plan or a CV set", kind: "file" },
    { name: "CVS", what: "what was read back", kind: "file" },
  ],
  about: `PLAN is a plan as JSON, or the CV set that was meant; CVS is what was read back. Exit status 1 when anything
differs or was not read.`,
  options: { decoder: shared.decoder, json: shared.json },
  examples: ["cvset verify plan.json read-back.txt", "cvset verify no9.cvs.json read-back.txt --json"],
  async run(call) {
    const {
      arguments: [planPath = "", cvsPath = ""],
      options,
      io,
    } = call;
    const meant = await meantFrom(planPath, io);
    const readBack = await cvSetFrom(cvsPath, io);
    const asked = options.decoder;
    refuseTwoDecoders(asked, { path: planPath, ...meant }, { path: cvsPath, ...readBack });
    const named = meant.decoder ?? readBack.decoder;
    const path = meant.decoder === undefined ? cvsPath : planPath;
    const decoder = await decoderFor(asked, { path, ...(named !== undefined && { decoder: named }) }, io);
    const result = verify(meant.wanted, readBack.cvs, { decoder });
    if (options.json) io.json(result);
    else {
      for (const { message } of result.mismatches) io.line(message);
      for (const { path, expected, found } of result.settings)
        io.line(`  ${path}: ${expected} was meant, ${found} is there`);
      if (result.unread.length) io.line(`Not read: CV ${result.unread.join(", ")}`);
      if (result.ok) io.line("Everything is there as it was meant.");
    }
    return result.ok ? 0 : 1;
  },
});

async function meantFrom(
  path: string,
  io: Io,
): Promise<{ readonly wanted: Verifiable; readonly decoder?: string }> {
  const text = await textFrom(path, io);
  const json = readJson(text);
  if (
    json.ok &&
    typeof json.value.value === "object" &&
    json.value.value !== null &&
    "steps" in json.value.value
  ) {
    const plan = tryPlanFromJson(json.value.value);
    if (!plan.ok) throw inFile(path, json.value, plan.issues);
    return { wanted: plan.value };
  }
  const set = readCvSet(text);
  if (!set.ok) throw new Unusable(...set.issues.map((issue) => fileMessage(nameOfInput(path), issue)));
  return { wanted: set.value.cvs, ...(set.value.decoder !== undefined && { decoder: set.value.decoder }) };
}
