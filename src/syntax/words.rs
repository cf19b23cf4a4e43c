//! The words of the language by their role. A test holds these lists against the grammar.

/// Words that begin an item.
pub const ITEM_WORDS: [&str; 16] = [
    "about", "bought", "fit", "given", "let", "material", "motif", "part", "plate", "printer",
    "props", "require", "seat", "shape", "sizes", "use",
];

/// The reserved words: operators and the three constants. No name may be one of these.
pub const OPERATOR_WORDS: [&str; 24] = [
    "about", "along", "and", "around", "at", "each", "else", "grown", "if", "in", "join", "less",
    "meet", "mirrored", "no", "none", "not", "of", "or", "over", "raised", "spun", "then", "yes",
];

/// Words that mean something in one place only and are free as names elsewhere.
pub const PLACE_WORDS: [&str; 23] = [
    "among", "arc", "as", "bevel", "by", "chart", "close", "drawing", "from", "left", "line",
    "long", "make", "offer", "path", "radius", "right", "round", "start", "through", "to", "under",
    "with",
];

/// Lines in the body of a shape.
pub const BODY_WORDS: [&str; 4] = ["let", "make", "offer", "require"];

/// Steps of a path.
pub const STEP_WORDS: [&str; 4] = ["arc", "close", "line", "start"];

/// Words of other units, and what to write for them.
pub const FOREIGN_UNITS: [(&str, &str); 38] = [
    ("centimeter", "cm"),
    ("centimeters", "cm"),
    ("centimetre", "cm"),
    ("centimetres", "cm"),
    ("cc", "cm3"),
    ("cm²", "cm2"),
    ("cm³", "cm3"),
    ("degree", "deg"),
    ("degrees", "deg"),
    ("°", "deg"),
    ("º", "deg"),
    ("gram", "g"),
    ("gramme", "g"),
    ("grammes", "g"),
    ("grams", "g"),
    ("inch", "in"),
    ("inches", "in"),
    ("″", "in"),
    ("”", "in"),
    ("kilogram", "kg"),
    ("kilograms", "kg"),
    ("litre", "l"),
    ("litres", "l"),
    ("liter", "l"),
    ("meter", "m"),
    ("metre", "m"),
    ("millilitre", "ml"),
    ("millimeter", "mm"),
    ("millimeters", "mm"),
    ("millimetre", "mm"),
    ("millimetres", "mm"),
    ("mm²", "mm2"),
    ("mm³", "mm3"),
    ("percent", "%"),
    ("radian", "rad"),
    ("radians", "rad"),
    ("revolution", "turn"),
    ("turns", "turn"),
];

/// Whether a word begins items.
pub fn is_item(word: &str) -> bool {
    ITEM_WORDS.contains(&word)
}

/// Whether a word is reserved.
pub fn is_operator(word: &str) -> bool {
    OPERATOR_WORDS.contains(&word)
}

/// Whether a reserved word stands between two values or behind one, so that a line that begins
/// with it goes on with the line before.
pub fn continues(word: &str) -> bool {
    is_operator(word) && !begins_value(word)
}

/// Whether a reserved word can begin a value.
pub fn begins_value(word: &str) -> bool {
    matches!(word, "if" | "not" | "yes" | "no" | "none")
}

/// Whether a reserved word wants something behind it, so that a newline does not end there.
pub fn wants_more(word: &str) -> bool {
    is_operator(word) && !matches!(word, "yes" | "no" | "none")
}

/// The word of `list` that `word` most likely was meant to be: one slip away, two in a word of
/// five letters and more.
pub fn nearest<'a>(word: &str, list: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = if word.chars().count() >= 5 { 2 } else { 1 };
    list.into_iter()
        .map(|known| (strsim::damerau_levenshtein(word, known), known))
        .filter(|(distance, _)| *distance <= allowed)
        .min()
        .map(|(_, known)| known)
}
