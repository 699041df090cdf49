import init from "./engine/crossread.js";

await init({ module_or_path: new URL("./engine/crossread_bg.wasm", import.meta.url) });

export * from "./crossread.js";
