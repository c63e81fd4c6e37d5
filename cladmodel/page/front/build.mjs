// Bundles the front end into the folder named on the command line: page.js, page.css, shell.html.
import { copyFile, mkdir } from "node:fs/promises";
import { join } from "node:path";
import { build } from "esbuild";

const out = process.argv[2] ?? join("..", "bundle");
await mkdir(out, { recursive: true });
await build({
  entryPoints: { page: "src/main.ts" },
  outdir: out,
  bundle: true,
  minify: true,
  format: "iife",
  target: ["chrome100", "firefox113", "safari16.4"],
  charset: "utf8",
  legalComments: "inline",
  loader: { ".html": "text" },
});
await build({ entryPoints: { page: "src/page.css" }, outdir: out, minify: true, charset: "utf8" });
await copyFile("src/shell.html", join(out, "shell.html"));
