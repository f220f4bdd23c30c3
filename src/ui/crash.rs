//! When the page itself is wrong. The start script shows a clear message and a way on, since it still runs when this program
//! does not; everything typed is already kept on the device.

use super::browser;

/// Takes over what happens on a panic.
pub(super) fn install() {
    // The toolkit sets a hook of its own at start unless it is told of another.
    yew::set_custom_panic_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        browser::signal("lessdin-panic", &format!("{info}\n{}", browser::fragment()));
    }));
}
