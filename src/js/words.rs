//! What only the module says; the sheets say the rest.

crate::words! { "module";
    NO_SHEET = "This link asks for no sheet. A link starts with “#/” and the id of a sheet, as in “#/alone”.";
}
