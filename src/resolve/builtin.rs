//! The shapes and functions that need no `use`: their names and parameters.

use super::kind::Kind;
use crate::quantity::Dimension;

/// A parameter of a built-in shape or a field of a built-in block.
#[derive(Debug)]
pub struct BuiltinParam {
    /// Its name.
    pub name: &'static str,
    /// What it takes.
    pub kind: Kind,
    /// Whether it must be given.
    pub required: bool,
}

/// A built-in shape.
#[derive(Debug)]
pub struct Builtin {
    /// Its name.
    pub name: &'static str,
    /// Its parameters in order.
    pub params: &'static [BuiltinParam],
}

/// A built-in function: its name and how many arguments it takes.
#[derive(Debug)]
pub struct Function {
    /// Its name.
    pub name: &'static str,
    /// Least number of arguments.
    pub least: usize,
    /// Greatest number of arguments.
    pub most: usize,
    /// How it is called.
    pub usage: &'static str,
}

/// Fields that any call takes that is itself a part's value.
pub static UNIVERSAL_FIELDS: [BuiltinParam; 7] = [
    want("material", Kind::Material),
    want("pose", Kind::Pose),
    want("copies", Kind::Count),
    want("spares", Kind::Count),
    want("brim", LENGTH),
    want("assembled", Kind::YesNo),
    want("note", Kind::Text),
];

const LENGTH: Kind = Kind::Number(Dimension::LENGTH);
const ANGLE: Kind = Kind::Number(Dimension::ANGLE);
const RATIO: Kind = Kind::Number(Dimension::NONE);

const fn need(name: &'static str, kind: Kind) -> BuiltinParam {
    BuiltinParam { name, kind, required: true }
}

const fn want(name: &'static str, kind: Kind) -> BuiltinParam {
    BuiltinParam { name, kind, required: false }
}

const INLAY: &[BuiltinParam] = &[
    need("on", Kind::Face),
    want("motif", Kind::Motif),
    want("repeats", Kind::Count),
    want("figure", Kind::Outline),
    want("at", Kind::Point),
    want("level", LENGTH),
    want("bearing", Kind::Bearing),
    want("spun", ANGLE),
    want("height", LENGTH),
    want("sink", LENGTH),
    want("proud", LENGTH),
    want("ease", Kind::Ease),
    want("slit", Kind::Slit),
];

/// Every built-in shape.
pub static BUILTINS: [Builtin; 24] = [
    Builtin {
        name: "turned",
        params: &[need("outline", Kind::Outline), want("facets", Kind::Count)],
    },
    Builtin {
        name: "prism",
        params: &[
            need("outline", Kind::Outline),
            need("height", LENGTH),
            want("taper", ANGLE),
            want("top", Kind::Edge),
            want("bottom", Kind::Edge),
        ],
    },
    Builtin { name: "block", params: &[need("size", Kind::Point), want("corner", Kind::Corner)] },
    Builtin {
        name: "rod",
        params: &[
            need("diameter", LENGTH),
            need("height", LENGTH),
            want("top", Kind::Edge),
            want("bottom", Kind::Edge),
        ],
    },
    Builtin {
        name: "tube",
        params: &[need("bore", LENGTH), need("wall", LENGTH), need("height", LENGTH)],
    },
    Builtin {
        name: "cone",
        params: &[need("below", LENGTH), need("above", LENGTH), need("height", LENGTH)],
    },
    Builtin { name: "ball", params: &[need("diameter", LENGTH)] },
    Builtin { name: "ring", params: &[need("across", LENGTH), need("thick", LENGTH)] },
    Builtin {
        name: "hollow",
        params: &[
            need("profile", Kind::Path),
            need("wall", LENGTH),
            need("floor", LENGTH),
            want("foot", Kind::Edge),
            want("rim", Kind::Edge),
        ],
    },
    Builtin { name: "solid", params: &[need("form", Kind::Solid)] },
    Builtin { name: "inlay", params: INLAY },
    Builtin { name: "relief", params: INLAY },
    Builtin {
        name: "rect",
        params: &[need("size", Kind::CoordinatePair), want("corner", Kind::Corner)],
    },
    Builtin { name: "disc", params: &[need("diameter", Kind::Coordinate)] },
    Builtin { name: "slot", params: &[need("size", Kind::CoordinatePair)] },
    Builtin { name: "polygon", params: &[need("points", Kind::List)] },
    Builtin {
        name: "regular",
        params: &[need("sides", Kind::Count), need("across", Kind::Coordinate)],
    },
    Builtin {
        name: "stroke",
        params: &[
            need("along", Kind::Line),
            need("width", LENGTH),
            want("side", Kind::Words(&["middle", "left", "right"])),
            want("ends", Kind::Words(&["flat", "round"])),
            want("corners", Kind::Words(&["mitre", "round"])),
        ],
    },
    Builtin {
        name: "lettering",
        params: &[
            need("text", Kind::Text),
            need("height", LENGTH),
            want("weight", Kind::Weight),
            want("stencil", Kind::YesNo),
            want("align", Kind::Words(&["middle", "left", "right"])),
        ],
    },
    Builtin { name: "tile", params: &[need("size", Kind::CoordinatePair), need("ink", Kind::Ink)] },
    Builtin {
        name: "gaps",
        params: &[
            want("snap", LENGTH),
            want("slide", LENGTH),
            want("press", LENGTH),
            want("free", LENGTH),
        ],
    },
    Builtin {
        name: "tipped",
        params: &[need("by", ANGLE), need("about", Kind::Words(&["x", "y", "z"]))],
    },
    Builtin { name: "on", params: &[need("face", Kind::Face)] },
    Builtin { name: "coupon", params: &[] },
];

const fn function(name: &'static str, least: usize, most: usize, usage: &'static str) -> Function {
    Function { name, least, most, usage }
}

/// As many arguments as anyone writes.
const ANY: usize = 10_000;

/// Every built-in function.
pub static FUNCTIONS: [Function; 23] = [
    function("min", 1, ANY, "min(a, b, …)"),
    function("max", 1, ANY, "max(a, b, …)"),
    function("abs", 1, 1, "abs(x)"),
    function("sqrt", 1, 1, "sqrt(x)"),
    function("mod", 2, 2, "mod(a, b)"),
    function("sin", 1, 1, "sin(angle)"),
    function("cos", 1, 1, "cos(angle)"),
    function("tan", 1, 1, "tan(angle)"),
    function("asin", 1, 1, "asin(ratio)"),
    function("acos", 1, 1, "acos(ratio)"),
    function("atan2", 2, 2, "atan2(y, x)"),
    function("round", 1, 2, "round(x, step), or round(radius) for an edge"),
    function("floor", 2, 2, "floor(x, step)"),
    function("ceil", 2, 2, "ceil(x, step)"),
    function("bevel", 1, 2, "bevel(leg, angle)"),
    function("polar", 2, 2, "polar(radius, angle)"),
    function("joined", 1, 1, "joined(list)"),
    function("volume", 1, 1, "volume(solid)"),
    function("arc_length", 2, 2, "arc_length(radius, angle)"),
    function("chord", 2, 2, "chord(radius, angle)"),
    function("sagitta", 2, 2, "sagitta(radius, angle)"),
    function("clearance", 2, 2, "clearance(\"H11/c11\", size)"),
    function("drawing", 1, 1, "drawing(\"file.svg\")"),
];

impl Builtin {
    /// The built-in shape of this name.
    pub fn find(name: &str) -> Option<&'static Builtin> {
        BUILTINS.iter().find(|b| b.name == name)
    }
}

impl Function {
    /// The function of this name.
    pub fn find(name: &str) -> Option<&'static Function> {
        FUNCTIONS.iter().find(|f| f.name == name)
    }
}

/// Fields of a `printer` block.
pub static PRINTER_FIELDS: [BuiltinParam; 11] = [
    want("base", Kind::Printer),
    want("line", LENGTH),
    want("layer", LENGTH),
    want("first_layer", LENGTH),
    want("overhang", ANGLE),
    want("bridge", LENGTH),
    want("bed", Kind::Point),
    want("tolerance", Kind::Tolerance),
    want("elephant", LENGTH),
    want("measured", Kind::Gaps),
    want("fill", RATIO),
];

/// Fields of a `material` block.
pub static MATERIAL_FIELDS: [BuiltinParam; 7] = [
    want("base", Kind::Material),
    want("colour", Kind::Colour),
    want("density", Kind::Number(Dimension::DENSITY)),
    want("modulus", Kind::Number(Dimension::STRESS)),
    want("yield_strain", RATIO),
    want("permitted", RATIO),
    want("shrink", RATIO),
];

/// Fields of a `seat` block. `taken_from` and `meets` name parts.
pub static SEAT_FIELDS: [BuiltinParam; 6] = [
    want("gap", Kind::Gap),
    want("fit", Kind::Text),
    want("taken_from", Kind::Words(&["both"])),
    want("gap_behind", LENGTH),
    want("enters", Kind::Words(&["top", "bottom", "surface"])),
    want("meets", Kind::Any),
];

/// Fields of a `fit` block.
pub static FIT_FIELDS: [BuiltinParam; 2] = [want("gap", Kind::Gap), want("moves", Kind::Way)];

/// Fields of a `bought` block.
pub static BOUGHT_FIELDS: [BuiltinParam; 4] = [
    need("form", Kind::Solid),
    want("tolerance", Kind::Tolerance),
    want("colour", Kind::Colour),
    want("note", Kind::Text),
];

/// Fields of a `plate` block.
pub static PLATE_FIELDS: [BuiltinParam; 2] = [need("parts", Kind::List), want("spacing", LENGTH)];

/// Fields of a `props` block.
pub static PROPS_FIELDS: [BuiltinParam; 5] = [
    want("gap_above", LENGTH),
    want("gap_below", LENGTH),
    want("width", LENGTH),
    want("spacing", LENGTH),
    want("at", Kind::List),
];

/// Fields of an `about` block.
pub static ABOUT_FIELDS: [BuiltinParam; 4] = [
    want("title", Kind::Text),
    want("by", Kind::Text),
    want("licence", Kind::Text),
    want("note", Kind::Text),
];
