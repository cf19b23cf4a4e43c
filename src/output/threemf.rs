//! 3MF: one package with every part named, in its material, set out for printing.
//! 3MF Core Specification 1.4.0; section numbers below are its.
//!
//! Materials are base materials (section 5), referred to by whole objects: what tells
//! two parts apart on a printer is the filament, and its name and display colour are
//! read by every consumer. Per-triangle colour (the Materials extension) is not used.

use super::codes::TOO_FINE;
use super::number;
use super::weld::{Welded, weld};
use crate::diagnostics::{BUG, Diagnostic};
use crate::mesh::Mesh;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// A body that is printed, once or more.
#[derive(Clone, Debug)]
pub struct PrintObject<'a> {
    /// The part's name.
    pub name: &'a str,
    /// Its material's name.
    pub material: &'a str,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// The posed body, mm.
    pub mesh: &'a Mesh,
    /// What is printed with it and taken off afterwards.
    pub aids: Vec<Aid<'a>>,
    /// One placement for each copy: a matrix by rows for row vectors, then the shift in
    /// mm (section 3.3). Copies must lie where all coordinates are positive.
    pub items: Vec<[f64; 12]>,
}

/// A body that only helps to print another: a brim. It becomes a component beside that one
/// (section 4.2), with its own type.
#[derive(Clone, Copy, Debug)]
pub struct Aid<'a> {
    /// What it is: `brim`.
    pub name: &'a str,
    /// The body, mm, closed: a `solidsupport` (section 4.1).
    pub mesh: &'a Mesh,
}

/// Why no package was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// Rounded to 1e-6 mm the part of this name is no closed body.
    TooFine(String),
    /// The archive could not be made, in the archiver's words.
    Archive(String),
}

impl Refused {
    /// What to tell the author.
    pub fn finding(&self) -> Diagnostic {
        match self {
            Refused::TooFine(part) => {
                let message = format!(
                    "`{part}` is no closed body when its lengths are written to 0.000001 mm"
                );
                Diagnostic::nowhere(TOO_FINE, message).help("make its finest detail larger")
            }
            Refused::Archive(words) => {
                Diagnostic::nowhere(BUG, format!("the 3MF package cannot be packed: {words}"))
            }
        }
    }
}

/// The placement that only shifts, by mm.
pub fn shifted(by: [f64; 3]) -> [f64; 12] {
    [1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, by[0], by[1], by[2]]
}

/// The bytes of a package. The same input gives the same bytes: fixed order, and the
/// archive's earliest date on every entry.
///
/// # Errors
/// [`Refused`] when a part is too small to be written, or no archive could be made.
pub fn encode(
    title: &str,
    application: &str,
    objects: &[PrintObject<'_>],
) -> Result<Vec<u8>, Refused> {
    let model = model_part(title, application, objects)?;
    pack(&[
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", RELATIONSHIPS),
        ("3D/3dmodel.model", &model),
    ])
    .map_err(|e| Refused::Archive(e.to_string()))
}

/// Names of Appendix C, as the Open Packaging Conventions (ECMA-376 part 2) want them.
const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
 <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
 <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"#;

const RELATIONSHIPS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
 <Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"#;

const MODEL_HEAD: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-GB" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
"#;

/// The resource id of the base materials; objects follow.
const MATERIALS_ID: usize = 1;

fn model_part(
    title: &str,
    application: &str,
    objects: &[PrintObject<'_>],
) -> Result<String, Refused> {
    let mut xml = String::from(MODEL_HEAD);
    for (name, value) in [("Title", title), ("Application", application)] {
        xml += &format!(" <metadata name=\"{name}\">{}</metadata>\n", escaped(value));
    }
    xml += " <resources>\n";
    let materials = materials_of(objects);
    push_materials(&mut xml, &materials);
    let mut id = MATERIALS_ID;
    let mut whole = Vec::with_capacity(objects.len());
    for object in objects {
        let material = materials.iter().position(|m| *m == (object.material, object.colour));
        push_object(&mut xml, object, material.unwrap_or(0), &mut id)?;
        whole.push(id);
    }
    xml += " </resources>\n <build>\n";
    for (id, object) in whole.iter().zip(objects) {
        for item in &object.items {
            let numbers = item.map(number::text).join(" ");
            xml += &format!("  <item objectid=\"{id}\" transform=\"{numbers}\"/>\n");
        }
    }
    xml += " </build>\n</model>\n";
    Ok(xml)
}

/// A part's object; with aids, an object of each body and one of which they are components.
/// `last` is the last id that was given away.
fn push_object(
    xml: &mut String,
    object: &PrintObject<'_>,
    material: usize,
    last: &mut usize,
) -> Result<(), Refused> {
    let first = *last + 1;
    let own = std::iter::once((object.name.to_string(), "model", object.mesh));
    let aids = object.aids.iter();
    let aids = aids.map(|a| (format!("{} {}", object.name, a.name), "solidsupport", a.mesh));
    for (name, kind, mesh) in own.chain(aids) {
        let welded = weld(mesh).ok_or_else(|| Refused::TooFine(name.clone()))?;
        *last += 1;
        let name = escaped(&name);
        *xml += &format!(
            "  <object id=\"{last}\" type=\"{kind}\" name=\"{name}\" pid=\"{MATERIALS_ID}\" pindex=\"{material}\">\n"
        );
        push_mesh(xml, &welded);
        *xml += "  </object>\n";
    }
    if *last > first {
        let components = first..=*last;
        *last += 1;
        let name = escaped(object.name);
        *xml +=
            &format!("  <object id=\"{last}\" type=\"model\" name=\"{name}\">\n   <components>\n");
        for id in components {
            *xml += &format!("    <component objectid=\"{id}\"/>\n");
        }
        *xml += "   </components>\n  </object>\n";
    }
    Ok(())
}

/// Every material once, in the order of the objects.
fn materials_of<'a>(objects: &[PrintObject<'a>]) -> Vec<(&'a str, [u8; 3])> {
    let mut materials = Vec::new();
    for object in objects {
        let material = (object.material, object.colour);
        if !materials.contains(&material) {
            materials.push(material);
        }
    }
    materials
}

fn push_materials(xml: &mut String, materials: &[(&str, [u8; 3])]) {
    *xml += &format!("  <basematerials id=\"{MATERIALS_ID}\">\n");
    for (name, [red, green, blue]) in materials {
        let name = escaped(name);
        *xml += &format!(
            "   <base name=\"{name}\" displaycolor=\"#{red:02X}{green:02X}{blue:02X}\"/>\n"
        );
    }
    *xml += "  </basematerials>\n";
}

fn push_mesh(xml: &mut String, welded: &Welded) {
    *xml += "   <mesh>\n    <vertices>\n";
    for [x, y, z] in &welded.vertices {
        for (key, value) in [("     <vertex x=\"", x), ("\" y=\"", y), ("\" z=\"", z)] {
            *xml += key;
            number::push(xml, *value);
        }
        *xml += "\"/>\n";
    }
    *xml += "    </vertices>\n    <triangles>\n";
    for [a, b, c] in &welded.triangles {
        // Writing to a text cannot fail.
        let _ = writeln!(xml, "     <triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
    }
    *xml += "    </triangles>\n   </mesh>\n";
}

/// A text for an attribute or an element. Characters that XML 1.0 does not have become
/// U+FFFD; white space is kept as written.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\t' | '\n' | '\r' => out += &format!("&#{};", u32::from(c)),
            '\0'..='\x1f' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(c),
        }
    }
    out
}

fn pack(entries: &[(&str, &str)]) -> zip::result::ZipResult<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(Some(COMPRESSION))
        .last_modified_time(DateTime::DEFAULT)
        .unix_permissions(0o644);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in entries {
        archive.start_file(*name, options)?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
}

/// Of 1 to 9: more gains a few per cent of size for several times the time.
const COMPRESSION: i64 = 4;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::tests::cube;

    fn model_text(package: &[u8]) -> String {
        let mut archive = zip::ZipArchive::new(Cursor::new(package)).unwrap();
        let names: Vec<String> = archive.file_names().map(|n| n.unwrap().to_string()).collect();
        assert_eq!(names, ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]);
        std::io::read_to_string(archive.by_name("3D/3dmodel.model").unwrap()).unwrap()
    }

    fn object<'a>(name: &'a str, material: &'a str, mesh: &'a Mesh) -> PrintObject<'a> {
        let items = vec![shifted([5.0, 5.0, 0.0]), shifted([25.0, 5.0, 0.0])];
        PrintObject { name, material, colour: [0xe8, 0xe1, 0xd3], mesh, aids: Vec::new(), items }
    }

    #[test]
    fn parts_keep_their_names_materials_and_copies() {
        let (small, large) = (cube(1.0 / 3.0), cube(10.0));
        let objects = [object("jar", "chalk", &large), object("belt", "moss", &small)];
        let package = encode("a <jar> & \"lid\"", "pipkin", &objects).unwrap();
        let text = model_text(&package);
        assert!(text.contains("<metadata name=\"Title\">a &lt;jar&gt; &amp; &quot;lid&quot;<"));
        assert!(text.contains("<base name=\"moss\" displaycolor=\"#E8E1D3\"/>"));
        assert!(
            text.contains("<object id=\"3\" type=\"model\" name=\"belt\" pid=\"1\" pindex=\"1\">")
        );
        assert!(text.contains("<vertex x=\"0.333333\" y=\"0\" z=\"0\"/>"));
        assert_eq!(text.matches("<item objectid=\"2\"").count(), 2);
        assert_eq!(text.matches("<vertex").count(), 16);
    }

    #[test]
    fn a_brim_is_a_component_of_its_part_with_a_type_of_its_own() {
        let (small, large) = (cube(1.0), cube(10.0));
        let aids = vec![Aid { name: "brim", mesh: &small }];
        let objects =
            [PrintObject { aids, ..object("jar", "chalk", &large) }, object("cap", "moss", &large)];
        let text = model_text(&encode("jar", "pipkin", &objects).unwrap());
        assert!(text.contains("<object id=\"2\" type=\"model\" name=\"jar\" pid="));
        assert!(text.contains("<object id=\"3\" type=\"solidsupport\" name=\"jar brim\" pid="));
        let whole = "<object id=\"4\" type=\"model\" name=\"jar\">\n   <components>\n    \
                     <component objectid=\"2\"/>\n    <component objectid=\"3\"/>\n";
        assert!(text.contains(whole), "{text}");
        assert_eq!(text.matches("<item objectid=\"4\"").count(), 2);
        assert_eq!(text.matches("<item objectid=\"5\"").count(), 2);
    }

    #[test]
    fn the_same_input_gives_the_same_bytes() {
        let mesh = cube(10.0);
        let make = || encode("jar", "pipkin", &[object("jar", "chalk", &mesh)]).unwrap();
        assert_eq!(make(), make());
    }

    #[test]
    fn a_part_too_fine_to_write_is_refused() {
        let mesh = cube(1e-8);
        let refused = encode("jar", "pipkin", &[object("grain", "chalk", &mesh)]);
        assert_eq!(refused, Err(Refused::TooFine("grain".to_string())));
    }

    #[test]
    fn characters_that_xml_lacks_are_replaced() {
        assert_eq!(escaped("a\u{1}b\nc"), "a\u{fffd}b&#10;c");
    }
}
