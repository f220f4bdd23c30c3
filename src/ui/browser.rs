//! The few things the page asks of the browser. Every one of them can be missing; none of them panics.

use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

/// The window.
pub(super) fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

fn storage() -> Option<web_sys::Storage> {
    window()?.local_storage().ok()?
}

/// A text kept on this device.
pub(super) fn kept(key: &str) -> Option<String> {
    storage()?.get_item(key).ok()?
}

/// Keeps a text on this device. Whether that worked.
pub(super) fn keep(key: &str, text: &str) -> bool {
    storage().is_some_and(|storage| storage.set_item(key, text).is_ok())
}

/// Forgets a text.
pub(super) fn forget(key: &str) {
    if let Some(storage) = storage() {
        let _ = storage.remove_item(key);
    }
}

/// Forgets everything this page has kept.
pub(super) fn forget_all() {
    let Some(storage) = storage() else { return };
    let keys: Vec<String> = (0..storage.length().unwrap_or(0)).filter_map(|at| storage.key(at).ok()?).collect();
    for key in keys.iter().filter(|key| key.starts_with("lessdin.")) {
        let _ = storage.remove_item(key);
    }
    // The logs, in the data base of their worker.
    let get = |of: &JsValue, name: &str| js_sys::Reflect::get(of, &name.into()).ok();
    let bases = window().and_then(|window| get(window.as_ref(), "indexedDB"));
    if let Some((bases, delete)) =
        bases.and_then(|bases| Some((bases.clone(), get(&bases, "deleteDatabase")?.dyn_into::<js_sys::Function>().ok()?)))
    {
        let _ = delete.call1(&bases, &crate::logs::BASE.into());
    }
}

/// The fragment of the address, with its `#`.
pub(super) fn fragment() -> String {
    window().and_then(|window| window.location().hash().ok()).unwrap_or_default()
}

/// The address without its fragment.
pub(super) fn base() -> String {
    let href = window().and_then(|window| window.location().href().ok()).unwrap_or_default();
    href.split('#').next().unwrap_or_default().to_owned()
}

/// Sets the fragment without navigating. A browser that has seen too many in a row refuses; the next one will do.
pub(super) fn set_fragment(fragment: &str, new_entry: bool) {
    let Some(history) = window().and_then(|window| window.history().ok()) else { return };
    let _ = if new_entry {
        history.push_state_with_url(&JsValue::NULL, "", Some(fragment))
    } else {
        history.replace_state_with_url(&JsValue::NULL, "", Some(fragment))
    };
}

/// A text that this tab alone keeps, over reloads.
pub(super) fn kept_in_tab(key: &str) -> Option<String> {
    window()?.session_storage().ok()??.get_item(key).ok()?
}

/// Keeps a text in this tab.
pub(super) fn keep_in_tab(key: &str, text: &str) {
    if let Some(storage) = window().and_then(|window| window.session_storage().ok()?) {
        let _ = storage.set_item(key, text);
    }
}

/// Whether the page was loaded by a reload of what stood there.
pub(super) fn is_reload() -> bool {
    let get = |of: &JsValue, name: &str| js_sys::Reflect::get(of, &name.into()).ok();
    let kind = window().and_then(|window| get(&get(&get(window.as_ref(), "performance")?, "navigation")?, "type"));
    kind.and_then(|kind| kind.as_f64()).is_some_and(|kind| (kind - 1.0).abs() < 0.5)
}

/// The decimal sign of the device's language.
pub(super) fn decimal_sign() -> char {
    let format = js_sys::Intl::NumberFormat::new(&js_sys::Array::new(), &js_sys::Object::new()).format();
    let text = format.call1(&JsValue::UNDEFINED, &JsValue::from_f64(1.5)).ok().and_then(|text| text.as_string());
    if text.is_some_and(|text| text.contains(',')) { ',' } else { '.' }
}

/// Today, as the device writes it, year first.
pub(super) fn today() -> String {
    let date = js_sys::Date::new_0();
    format!("{}-{:02}-{:02}", date.get_full_year(), date.get_month() + 1, date.get_date())
}

/// Puts a text on the clipboard. Whether the browser let us.
pub(super) async fn copy(text: &str) -> bool {
    let Some(window) = window() else { return false };
    let navigator = window.navigator();
    // Without https there is no clipboard object at all; reading it through the typed getter would throw.
    let clipboard = js_sys::Reflect::get(&navigator, &"clipboard".into()).unwrap_or(JsValue::UNDEFINED);
    if clipboard.is_undefined() {
        return false;
    }
    JsFuture::from(navigator.clipboard().write_text(text)).await.is_ok()
}

/// How sharing a link went.
pub(super) enum Shared {
    /// The device's own dialogue took it, or the person closed it.
    ByDialogue,
    /// There is no such dialogue.
    NoDialogue,
}

/// Offers a link to the device's share dialogue.
pub(super) async fn share(title: &str, text: &str, url: &str) -> Shared {
    let Some(window) = window() else { return Shared::NoDialogue };
    let navigator = window.navigator();
    let share = js_sys::Reflect::get(&navigator, &"share".into()).unwrap_or(JsValue::UNDEFINED);
    if !share.is_function() {
        return Shared::NoDialogue;
    }
    let data = web_sys::ShareData::new();
    data.set_title(title);
    data.set_text(text);
    data.set_url(url);
    match JsFuture::from(navigator.share_with_data(&data)).await {
        Ok(_) => Shared::ByDialogue,
        Err(error) => {
            let name = js_sys::Reflect::get(&error, &"name".into()).ok().and_then(|name| name.as_string());
            if name.as_deref() == Some("AbortError") { Shared::ByDialogue } else { Shared::NoDialogue }
        }
    }
}

/// Hands a file to the person.
pub(super) fn download(name: &str, blob: &web_sys::Blob) {
    let Some(document) = window().and_then(|window| window.document()) else { return };
    let Ok(url) = web_sys::Url::create_object_url_with_blob(blob) else { return };
    if let Ok(anchor) = document.create_element("a").map(JsCast::unchecked_into::<web_sys::HtmlAnchorElement>) {
        anchor.set_href(&url);
        anchor.set_download(name);
        anchor.click();
    }
    // The download has its own reference by the time the page is idle again.
    gloo::timers::callback::Timeout::new(10_000, move || {
        let _ = web_sys::Url::revoke_object_url(&url);
    })
    .forget();
}

/// A text as a file.
pub(super) fn text_blob(text: &str, kind: &str) -> Option<web_sys::Blob> {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    web_sys::Blob::new_with_str_sequence_and_options(&parts, &options).ok()
}

/// A value that the start script left on the window.
pub(super) fn global_text(name: &str) -> Option<String> {
    js_sys::Reflect::get(window()?.as_ref(), &name.into()).ok()?.as_string()
}

/// Whether the start script has set a flag on the window.
pub(super) fn global_flag(name: &str) -> bool {
    window().and_then(|window| js_sys::Reflect::get(window.as_ref(), &name.into()).ok()).is_some_and(|flag| flag.is_truthy())
}

/// Sends the start script a signal.
pub(super) fn signal(name: &str, detail: &str) {
    let options = web_sys::CustomEventInit::new();
    options.set_detail(&detail.into());
    if let (Some(window), Ok(event)) = (window(), web_sys::CustomEvent::new_with_event_init_dict(name, &options)) {
        let _ = window.dispatch_event(&event);
    }
}

/// Prints the page.
pub(super) fn print() {
    if let Some(window) = window() {
        let _ = window.print();
    }
}

/// Sets or removes an attribute of the root element.
pub(super) fn set_root_attribute(name: &str, value: Option<&str>) {
    let Some(root) = window().and_then(|window| window.document()?.document_element()) else { return };
    let _ = match value {
        Some(value) => root.set_attribute(name, value),
        None => root.remove_attribute(name),
    };
}

/// Sets the document's title.
pub(super) fn set_title(title: &str) {
    if let Some(document) = window().and_then(|window| window.document()) {
        document.set_title(title);
    }
}

/// Moves the focus to an element.
pub(super) fn focus(id: &str) {
    let element = window().and_then(|window| window.document()?.get_element_by_id(id));
    if let Some(element) = element.and_then(|element| element.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = element.focus();
    }
}
