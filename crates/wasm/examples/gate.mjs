// A gate between verdict and unit: opens for one donor of one worksheet, or stays shut.
//
//     node gate.mjs WORKSHEET DONOR && echo "hand over the unit"
//
// It ends with 0 only if the worksheet was interpreted, its answer has this donor once, and
// `releasable` of this donor is true. Everything else, whatever is thrown, ends otherwise. The
// verdict is serology only; local rules and the veterinarian decide.

import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

import { interpret } from "../js/node.js";

/** Whether the donor may be released by the verdict. */
export function frees(worksheet, donor) {
  const { pairs } = JSON.parse(interpret(worksheet));
  const own = pairs.filter((pair) => pair.donor === donor);
  return own.length === 1 && own[0].releasable === true;
}

function main([worksheet, donor]) {
  let freed = false;
  try {
    freed = frees(readFileSync(worksheet), donor);
  } catch (why) {
    console.error(`${why}\ndo not release`);
  }
  console.log(`${donor}: ${freed ? "releasable by the verdict" : "do not release"}`);
  return freed ? 0 : 1;
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.exitCode = 1;
  process.exitCode = main(process.argv.slice(2));
}
