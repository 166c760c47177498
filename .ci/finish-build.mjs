// What tsup leaves to do in dist; `npm run build` runs it.
import { copyFileSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { basename, dirname, isAbsolute, join, relative, resolve } from "node:path";
import ts from "typescript";
import { keepStamp } from "./build-stamp.mjs";

const files = readdirSync("dist", { recursive: true, encoding: "utf8" }).map((file) => join("dist", file));

copyFileSync("src/decoder/decoder.schema.json", "dist/decoder.schema.json");
for (const file of files.filter((one) => /\.d\.c?ts$/.test(one))) {
  writeFileSync(file, publicFace(readFileSync(file, "utf8")));
}
for (const file of files.filter((one) => one.endsWith(".cjs.map"))) {
  const map = JSON.parse(readFileSync(file, "utf8"));
  // What making CJS adds comes from no source; there the map names the file itself, by its path on this machine.
  map.sources = map.sources.map((one) => (isAbsolute(one) ? relative(dirname(resolve(file)), one) : one));
  writeFileSync(file, JSON.stringify(map));
}
removeEmptyFiles(files.filter((one) => /(?<!\.d)\.c?js$/.test(one)));
keepStamp();

/**
 * Declarations without what is internal: private members, by which TypeScript tells classes of ESM and of CJS apart
 * although they are the same, and members marked as internal, which an editor would offer. A class whose constructor is
 * internal is not made with `new`.
 */
function publicFace(text) {
  const { statements } = ts.createSourceFile("a.d.ts", text, ts.ScriptTarget.ES2022, true);
  const cuts = statements.flatMap((one) => (ts.isClassDeclaration(one) ? one.members.flatMap(cutOf) : []));
  return cuts.reverse().reduce((all, [from, to, put]) => all.slice(0, from) + put + all.slice(to), text);
}

/** What is to be cut out for one member of a class: from where to where, and what is put there. */
function cutOf(member) {
  const isInternal = ts.getJSDocTags(member).some(({ tagName }) => tagName.text === "internal");
  const isPrivate =
    (member.name && ts.isPrivateIdentifier(member.name)) ||
    ts.getModifiers(member)?.some(({ kind }) => kind === ts.SyntaxKind.PrivateKeyword);
  if (!isInternal && !isPrivate) return [];
  // Not private, since one class of the declarations extends another.
  const put = isInternal && ts.isConstructorDeclaration(member) ? "\n    protected constructor();" : "";
  return [[member.getFullStart(), member.end, put]];
}

/** Removes the files without code that splitting makes, and what loads them. */
function removeEmptyFiles(all) {
  const texts = new Map(all.map((file) => [file, readFileSync(file, "utf8")]));
  const isEmpty = (text) => /^(\s|\/\/.*|"use strict";)*$/.test(text);
  const empty = [...texts].flatMap(([file, text]) => (isEmpty(text) ? [file] : []));
  if (!empty.length) return;
  const names = empty.map((file) => basename(file).replaceAll(".", "\\.")).join("|");
  const load = new RegExp(`^(?:import ?|require\\()["'][^"'\\n]*/(?:${names})["']\\)?;`, "gm");
  for (const [file, text] of texts) {
    // The line stays, for the source map.
    if (text.search(load) >= 0) writeFileSync(file, text.replace(load, ""));
  }
  for (const file of empty) {
    rmSync(file);
    rmSync(`${file}.map`, { force: true });
  }
}
