import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";

/** The project's top folder, with a slash at its end. */
export const root: string = fileURLToPath(new URL("../../", import.meta.url));

/** The paths of all files with an ending below a folder of the project, from that folder, sorted. */
export function filesBelow(folder: string, ending: string): string[] {
  return readdirSync(`${root}${folder}`, { recursive: true, encoding: "utf8" })
    .map((path) => path.replaceAll("\\", "/"))
    .filter((path) => path.endsWith(ending))
    .sort();
}
