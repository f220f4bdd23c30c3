use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::json;

use crate::engine::on_every_engine;
use crate::server::{Folder, Site};

/// The built module.
fn module() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = env::var_os("LESSDIN_MODULE").map_or_else(|| root.join("target/module"), PathBuf::from);
    assert!(
        folder.join("lessdin.js").is_file(),
        "There is no built module in {}. Run `cargo module`, or name its folder in LESSDIN_MODULE.",
        folder.display()
    );
    folder
}

#[test]
fn the_module_loads_and_solves_in_a_page_of_its_own() {
    on_every_engine(&[], |stage| {
        let folder = Folder::new();
        for entry in fs::read_dir(module()).unwrap().flatten() {
            fs::copy(entry.path(), folder.path().join(entry.file_name())).unwrap();
        }
        let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/module/browser.html");
        fs::copy(page, folder.path().join("index.html")).unwrap();
        stage.site = Site::serve(folder.path());
        let page = stage.browser();
        page.go(&stage.site.address());
        let title = page.until("the module has been tried", || {
            let title = page.script("return document.title", &json!([]));
            title.as_str().filter(|title| *title != "running").map(str::to_owned)
        });
        assert_eq!(title, "passed");
    });
}
