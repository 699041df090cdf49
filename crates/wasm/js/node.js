import { readFileSync } from "node:fs";

import { initSync } from "./engine/crossread.js";

initSync({ module: readFileSync(new URL("./engine/crossread_bg.wasm", import.meta.url)) });

export * from "./crossread.js";
