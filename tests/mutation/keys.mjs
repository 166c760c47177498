// Names of methods and getters written as texts (`get "~standard"() { ... }`) are left as they are: Stryker cannot
// put a mutant there, and stops.
import { declareClassPlugin, PluginKind } from "@stryker-mutator/api/plugin";

export class Keys {
  shouldIgnore({ node, parent }) {
    const named = parent?.type === "ClassMethod" || parent?.type === "ObjectMethod";
    return named && parent.key === node && node.type === "StringLiteral" ? "the name of a method" : undefined;
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.Ignore, "keys", Keys)];
