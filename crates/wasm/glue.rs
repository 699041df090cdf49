//! Writes the glue between JavaScript and WebAssembly: `glue MODULE FOLDER`.
#![forbid(unsafe_code)]

use std::io;

use wasm_bindgen_cli_support::Bindgen;

fn main() -> io::Result<()> {
    let arguments: Vec<_> = std::env::args().skip(1).collect();
    let [module, folder] = arguments.as_slice() else {
        return Err(io::Error::other("usage: glue MODULE FOLDER"));
    };
    let mut bindgen = Bindgen::new();
    bindgen.input_path(module).out_name("crossread").typescript(true).remove_name_section(true);
    bindgen.web(true).and_then(|web| web.generate(folder)).map_err(io::Error::other)
}
