// The command in the installed package: from a description and choices in words to a proved read-out.
import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/**
 * Runs the command in a folder of its own, and gives everything that it printed and wrote.
 * @param run Runs Node with arguments.
 * @param folder Where the package is installed.
 * @param expected What the library made of the same choices.
 */
export async function session(run, folder, expected) {
  const own = join(folder, "command");
  mkdirSync(own, { recursive: true });
  const cwd = mkdtempSync(join(own, "run-"));
  const ours = join(folder, "node_modules/cvset");
  const { version, bin } = JSON.parse(readFileSync(join(ours, "package.json"), "utf8"));
  const command = join(ours, bin.cvset);
  const env = { ...process.env, NO_COLOR: "1" };
  const said = [];
  const cvset = async (...args) => {
    const text = await run([command, ...args], { cwd, env });
    said.push([args.join(" "), text]);
    return text;
  };
  const file = (name) => JSON.parse(readFileSync(join(cwd, name), "utf8"));
  const write = (name, content) => writeFileSync(join(cwd, name), JSON.stringify(content));

  assert.ok((await cvset("--version")).includes(version));
  assert.deepEqual(JSON.parse(await cvset("address", "1234", "--json")).cvs, { 17: 196, 18: 210 });
  assert.match(await cvset("explain", "CV29=34"), /extended/);
  write("packed-p1.json", expected.description);
  await cvset("new", "packed-p1.json", "--name", "No. 9", "--output", "no9.json");
  await cvset("encode", "no9.json", "--output", "before.json");
  await cvset("set", "no9.json", "address=1234", "whistle=three", "drains.seconds=12");
  await cvset("encode", "no9.json", "--output", "after.json");
  assert.deepEqual(file("after.json").cvs, expected.cvs);
  await cvset("check", "after.json");
  await cvset("decode", "after.json");
  const plan = await cvset("plan", "before.json", "after.json", "--json");
  assert.deepEqual(
    JSON.parse(plan).steps.map(({ cv, value }) => [cv, value]),
    expected.steps.map(({ cv, value }) => [cv, value]),
  );
  write("plan.json", JSON.parse(plan));
  assert.equal(JSON.parse(await cvset("verify", "plan.json", "after.json", "--json")).ok, true);
  await cvset("sheet", "after.json", "--format", "html", "--output", "sheet.html");
  await cvset("demo");
  said.push(["sheet.html", readFileSync(join(cwd, "sheet.html"), "utf8")]);
  return said;
}
