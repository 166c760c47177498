// A bundle of one program by each bundler, for a browser. Each gives the path of the one file that it made.
import { join } from "node:path";

/** Loads a bundler, and bundles the entry into the folder. */
export const bundlers = {
  async esbuild(load, entry, folder) {
    const { build } = await load("esbuild");
    const outfile = join(folder, "bundle.js");
    await build({
      entryPoints: [entry],
      outfile,
      bundle: true,
      minify: true,
      format: "esm",
      platform: "browser",
      logLevel: "error",
    });
    return outfile;
  },

  async rollup(load, entry, folder) {
    const { rollup } = await load("rollup");
    const { nodeResolve } = await load("@rollup/plugin-node-resolve");
    const file = join(folder, "bundle.js");
    const onwarn = ({ message }) => {
      throw new Error(message);
    };
    const bundle = await rollup({ input: entry, plugins: [nodeResolve({ browser: true })], onwarn });
    await bundle.write({ file, format: "es", inlineDynamicImports: true });
    await bundle.close();
    return file;
  },

  async webpack(load, entry, folder) {
    const { default: webpack } = await load("webpack");
    const compiler = webpack({
      mode: "production",
      target: "web",
      entry,
      context: join(entry, ".."),
      performance: { hints: false },
      output: { path: folder, filename: "bundle.js" },
    });
    const stats = await new Promise((resolve, reject) => {
      compiler.run((error, result) => (error ? reject(error) : resolve(result)));
    });
    await new Promise((resolve) => {
      compiler.close(resolve);
    });
    const { errors, warnings } = stats.toJson({ all: false, errors: true, warnings: true });
    const told = [...errors, ...warnings].map(({ message }) => message);
    if (told.length) throw new Error(told.join("\n"));
    return join(folder, "bundle.js");
  },

  async vite(load, entry, folder) {
    const { build } = await load("vite");
    await build({
      root: join(entry, ".."),
      configFile: false,
      logLevel: "error",
      build: {
        outDir: folder,
        emptyOutDir: true,
        modulePreload: false,
        rollupOptions: { input: entry, output: { entryFileNames: "bundle.js" } },
      },
    });
    return join(folder, "bundle.js");
  },
};
