// What Stryker leaves as it is: names of methods and getters that are written as texts (`get "~standard"() {...}`),
// where it cannot put a mutant, and the codes and sentences of faults. tests/cv/fault-codes.test.ts looks at those in
// the source, where no mutant is switched on; it fails on one that is empty.
import { declareClassPlugin, PluginKind } from "@stryker-mutator/api/plugin";

export class Keys {
  shouldIgnore({ node, parent }) {
    if (node.type !== "StringLiteral" || !parent) return undefined;
    const { type, key, callee } = parent;
    if ((type === "ClassMethod" || type === "ObjectMethod") && key === node) return "the name of a method";
    return type === "CallExpression" && callee.name === "fault"
      ? "the code or sentence of a fault"
      : undefined;
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.Ignore, "keys", Keys)];
