//! Logs kept on the device: the files as they came, in the browser's own data base.

use idb::{Database, DatabaseEvent, Factory, KeyPath, ObjectStoreParams, Query, TransactionMode};
use wasm_bindgen::prelude::*;

const STORE: &str = "log";

/// A file that is kept.
pub(super) struct Kept {
    pub(super) name: String,
    /// A `Blob`, or the bytes as an array where the browser keeps no blobs.
    pub(super) file: JsValue,
    pub(super) choices: Vec<f64>,
}

/// The browser keeps nothing: no data base, no room, or not allowed. It is one to the reader: the log is here until the page is
/// closed.
pub(super) struct Refused;

fn refused<T>(_: T) -> Refused {
    Refused
}

async fn open() -> Result<Database, Refused> {
    let mut request = Factory::new().map_err(refused)?.open(super::BASE, Some(1)).map_err(refused)?;
    request.on_upgrade_needed(|event| {
        let Ok(base) = event.database() else { return };
        let mut params = ObjectStoreParams::new();
        params.key_path(Some(KeyPath::new_single("hash")));
        let _ = base.create_object_store(STORE, params);
    });
    request.await.map_err(refused)
}

fn set(object: &js_sys::Object, key: &str, value: &JsValue) {
    let _ = js_sys::Reflect::set(object, &key.into(), value);
}

fn get(object: &JsValue, key: &str) -> JsValue {
    js_sys::Reflect::get(object, &key.into()).unwrap_or(JsValue::UNDEFINED)
}

/// Keeps a file under its hash.
pub(super) async fn put(hash: &str, kept: &Kept) -> Result<(), Refused> {
    let base = open().await?;
    let object = js_sys::Object::new();
    set(&object, "hash", &hash.into());
    set(&object, "name", &kept.name.as_str().into());
    set(&object, "file", &kept.file);
    set(&object, "choices", &js_sys::Float64Array::from(kept.choices.as_slice()).into());
    let transaction = base.transaction(&[STORE], TransactionMode::ReadWrite).map_err(refused)?;
    transaction.object_store(STORE).map_err(refused)?.put(&object, None).map_err(refused)?.await.map_err(refused)?;
    let result = transaction.commit().map_err(refused)?.await.map(|_| ()).map_err(refused);
    base.close();
    result
}

/// The file with this hash.
pub(super) async fn find(hash: &str) -> Result<Option<Kept>, Refused> {
    let base = open().await?;
    let transaction = base.transaction(&[STORE], TransactionMode::ReadOnly).map_err(refused)?;
    let store = transaction.object_store(STORE).map_err(refused)?;
    let found = store.get(Query::from(JsValue::from(hash))).map_err(refused)?.await.map_err(refused)?;
    base.close();
    Ok(found.map(|found| Kept {
        name: get(&found, "name").as_string().unwrap_or_default(),
        file: get(&found, "file"),
        choices: get(&found, "choices").dyn_ref::<js_sys::Float64Array>().map(js_sys::Float64Array::to_vec).unwrap_or_default(),
    }))
}

/// Forgets the file with this hash.
pub(super) async fn delete(hash: &str) -> Result<(), Refused> {
    let base = open().await?;
    let transaction = base.transaction(&[STORE], TransactionMode::ReadWrite).map_err(refused)?;
    let store = transaction.object_store(STORE).map_err(refused)?;
    store.delete(Query::from(JsValue::from(hash))).map_err(refused)?.await.map_err(refused)?;
    let result = transaction.commit().map_err(refused)?.await.map(|_| ()).map_err(refused);
    base.close();
    result
}
