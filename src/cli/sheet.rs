//! The fit sheet: the manifest's measured values for a person, one thing a line, in groups,
//! the worst of each first.
//!
//! A new kind of rows is one function that makes its [`Group`] and one line in [`KINDS`].

use crate::model::Model;
use crate::output::manifest::{
    AirGap, Form, Gap, LidEntry, Manifest, PartEntry, RequireEntry, SeatEntry, Side, Value,
    WayEntry,
};
use crate::quantity::decimals;
use std::fmt::Write as _;
use std::path::Path;

use super::args::SheetForm;
use super::human::clean;
use super::table::Table;

/// Every kind of rows, in the order in which they are told.
const KINDS: [fn(&Manifest) -> Group; 13] = [
    parts, bought, seats, lids, pairs, rings, snaps, prints, props, times, rules, findings,
    cautions,
];

/// More rows of a kind than this are counted: the sheet is to fit on a screen.
const MOST_ROWS: usize = 8;

/// Rows of one kind.
struct Group {
    /// What each is; the head of the first column, too.
    word: &'static str,
    /// Heads of the other columns.
    heads: &'static [&'static str],
    rows: Vec<Row>,
}

/// One thing.
struct Row {
    cells: Vec<String>,
    /// How near it comes to its limit: 1 at the limit, more beyond it.
    strained: f64,
}

impl Row {
    fn of(cells: impl Into<Vec<String>>) -> Self {
        Row { cells: cells.into(), strained: 0.0 }
    }
}

/// What `check` says of a design without errors.
pub fn outline(model: &Model, sizes: &[String]) -> String {
    let parts: Vec<&str> = model.parts.iter().map(|p| p.name.as_str()).collect();
    let mut text = format!("{}: no errors; parts {}", model.name, parts.join(", "));
    if !sizes.is_empty() {
        text += &format!("; sizes {}", sizes.join(", "));
    }
    text + "\n"
}

/// What `build` says of a set that it wrote into `folder`.
pub fn sheet<'a>(
    name: &str,
    folder: &Path,
    files: impl Iterator<Item = &'a str>,
    manifest: &Manifest,
    form: SheetForm,
) -> String {
    let title = match &manifest.size {
        Some(size) => format!("{name}, size {size}"),
        None => name.to_string(),
    };
    let files: Vec<&str> = files.collect();
    let files = format!("wrote {}: {}\n", folder.display(), files.join(" "));
    let groups = KINDS.iter().map(|kind| kind(manifest)).filter(|group| !group.rows.is_empty());
    match form {
        SheetForm::Text => {
            let groups: String = groups.map(|group| group.text(name)).collect();
            format!("{title}\n{groups}{files}")
        }
        SheetForm::Markdown => {
            let groups: String = groups.map(|group| group.markdown(name)).collect();
            format!("### {title}\n\n{groups}{files}")
        }
    }
}

impl Group {
    /// The rows, the most strained first, and what is said of those that are left out.
    fn table(&self, design: &str) -> (Table, Option<String>) {
        let mut rows: Vec<&Row> = self.rows.iter().collect();
        rows.sort_by(|a, b| b.strained.total_cmp(&a.strained));
        let heads: Vec<&str> = [self.word].iter().chain(self.heads).copied().collect();
        let mut table = Table::new(&heads);
        // A line that says "1 more" is no shorter than the one.
        let most = if rows.len() == MOST_ROWS + 1 { rows.len() } else { MOST_ROWS };
        let told = rows.iter().take(most);
        table.rows = told.map(|row| row.cells.iter().map(|c| clean(c)).collect()).collect();
        let more = rows.len().saturating_sub(most);
        (table, (more > 0).then(|| format!("and {more} more, in {design}.manifest.json")))
    }

    /// Lines under a word that stands before the first of them.
    fn text(&self, design: &str) -> String {
        let (table, more) = self.table(design);
        let mut text = String::new();
        for (index, line) in table.lines().into_iter().chain(more).enumerate() {
            let word = if index == 0 { self.word } else { "" };
            let _ = writeln!(text, "  {word:<8} {line}");
        }
        text
    }

    fn markdown(&self, design: &str) -> String {
        let (table, more) = self.table(design);
        let more = more.map(|more| format!("\n{more}\n")).unwrap_or_default();
        format!("{}{more}\n", table.markdown())
    }
}

fn parts(manifest: &Manifest) -> Group {
    let heads = &["size", "volume", "mass", "filament", "body"];
    Group { word: "part", heads, rows: manifest.parts.iter().map(part_row).collect() }
}

fn part_row(part: &PartEntry) -> Row {
    let [x, y, z] = part.size_mm.map(|c| decimals(c, 2));
    let form = match part.form {
        Form::Exact => "exact",
        Form::Mesh => "mesh",
    };
    let mut body = format!("{form}, {}", counted(part.pieces, "piece"));
    if let Some(capacity) = part.capacity_ml {
        body += &format!(", holds {} ml", decimals(capacity, 1));
        if let Some(ounces) = part.capacity_fl_oz {
            body += &format!(" ({} fl oz)", decimals(ounces, 1));
        }
    }
    if part.files.is_empty() {
        body += ", no files";
    }
    Row::of([
        part.name.clone(),
        format!("{x} x {y} x {z} mm"),
        format!("{} cm3", decimals(part.volume_mm3 / 1000.0, 2)),
        format!("{} g {}", decimals(part.mass_g, 1), part.material),
        format!("{} m", decimals(part.filament_m, 2)),
        body,
    ])
}

fn seats(manifest: &Manifest) -> Group {
    let heads = &["gap", "depth", "show face", "ceiling"];
    Group { word: "seat", heads, rows: manifest.seats.iter().map(seat_row).collect() }
}

fn seat_row(seat: &SeatEntry) -> Row {
    let (low, high) = (seat.face_step_mm.lowest, seat.face_step_mm.highest);
    let ceiling = seat.ceiling_deg.steepest.map(|a| format!("ceiling {} deg", decimals(a, 2)));
    Row {
        cells: vec![
            format!("{} in {}", seat.inlay, seat.host),
            format!("{} from {}{}", gap(&seat.gap_mm), seat.taken_from, overlap(seat.overlap_mm3)),
            format!("depth {} mm", decimals(seat.depth_mm, 3)),
            format!("step {} to {} mm", decimals(low, 3), decimals(high, 3)),
            ceiling.unwrap_or_default(),
        ],
        strained: tightness(&seat.gap_mm, seat.overlap_mm3),
    }
}

fn lids(manifest: &Manifest) -> Group {
    let rows = manifest.lids.iter().map(|lid| Row {
        cells: vec![
            format!("{} on {}", lid.lid, lid.host),
            format!("{}{}", gap(&lid.gap_mm), overlap(lid.overlap_mm3)),
            format!("engages {} mm{}", decimals(lid.engagement_mm, 3), turns_off(manifest, lid)),
            lid.capacity_ml
                .map(|ml| format!("{} ml below it", decimals(ml, 1)))
                .unwrap_or_default(),
        ],
        strained: tightness(&lid.gap_mm, lid.overlap_mm3),
    });
    Group { word: "lid", heads: &["gap", "engagement", "below it"], rows: rows.collect() }
}

/// The way of a part out of its host, where one was tried.
fn way_of<'a>(manifest: &'a Manifest, part: &str, host: &str) -> Option<&'a WayEntry> {
    manifest.ways.iter().find(|way| way.part == part && way.host == host)
}

/// How far a lid turns to come off; nothing where it goes straight.
fn turns_off(manifest: &Manifest, lid: &LidEntry) -> String {
    let turn = way_of(manifest, &lid.lid, &lid.host).and_then(|way| way.turn.as_ref());
    turn.map_or(String::new(), |turn| format!(", {}", turn.told()))
}

/// What is fitted but not made.
fn bought(manifest: &Manifest) -> Group {
    let rows = manifest.bought.iter().map(|thing| {
        let [x, y, z] = thing.size_mm.map(|c| decimals(c, 2));
        let tolerance = match (&thing.tolerance_grade, thing.tolerance_mm) {
            (Some(grade), _) => format!("holds {grade}"),
            (None, Some(zone)) => format!("holds {} mm", decimals(zone, 3)),
            (None, None) => String::new(),
        };
        Row::of([thing.name.clone(), format!("{x} x {y} x {z} mm"), tolerance])
    });
    Group { word: "bought", heads: &["size", "tolerance"], rows: rows.collect() }
}

fn pairs(manifest: &Manifest) -> Group {
    let rows = manifest.fits.iter().map(|fit| {
        let way = match way_of(manifest, &fit.part, &fit.host) {
            Some(way) if way.caught.is_none() => {
                format!("comes out over {} mm", decimals(way.travel_mm, 1))
            }
            Some(_) => "caught".to_string(),
            None => String::new(),
        };
        Row {
            cells: vec![
                format!("{} in {}", fit.part, fit.host),
                format!("{}{}", gap(&fit.gap_mm), overlap(fit.overlap_mm3)),
                way,
            ],
            strained: tightness(&fit.gap_mm, fit.overlap_mm3),
        }
    });
    Group { word: "fit", heads: &["gap", "way"], rows: rows.collect() }
}

/// Bodies that overlap are beyond any gap; else how much of what was asked is missing.
fn tightness(gap: &Gap, overlap_mm3: f64) -> f64 {
    if is_shared(overlap_mm3) { f64::INFINITY } else { gap.asked / gap.least.max(1e-6) }
}

/// A thousandth of a cubic millimetre is none.
fn is_shared(overlap_mm3: f64) -> bool {
    overlap_mm3 >= 0.001
}

fn overlap(overlap_mm3: f64) -> String {
    if !is_shared(overlap_mm3) {
        return String::new();
    }
    format!(", OVERLAP {} mm3", decimals(overlap_mm3, 3))
}

fn rings(manifest: &Manifest) -> Group {
    let rows = manifest.rings.iter().map(|ring| {
        let share = ring.permitted_percent.map(|permitted| ring.strain_percent / permitted);
        let mut strain = format!("strain {} %", decimals(ring.strain_percent, 2));
        if let Some(permitted) = ring.permitted_percent {
            let _ = write!(strain, " of {} %", decimals(permitted, 2));
        }
        let (opening, over) = (decimals(ring.opening_mm, 2), decimals(ring.over_mm, 2));
        Row {
            cells: vec![
                ring.part.clone(),
                format!("slit opens {opening} mm to pass {over} mm"),
                strain,
            ],
            strained: share.unwrap_or(0.0),
        }
    });
    Group { word: "ring", heads: &["slit", "strain"], rows: rows.collect() }
}

fn snaps(manifest: &Manifest) -> Group {
    let rows = manifest.ways.iter().filter_map(|way| {
        let snap = way.snap.as_ref()?;
        let mut strain = format!("strain {} %", decimals(snap.strain_percent, 2));
        if let Some(permitted) = snap.permitted_percent {
            let _ = write!(strain, " of {} %", decimals(permitted, 2));
        }
        let mut cells = vec![
            format!("{} on {}", way.part, way.host),
            format!("stretches over {} mm", decimals(snap.undercut_mm, 2)),
            strain,
        ];
        cells.push(match snap.spreads_n {
            Some(force) => format!("some {} N to spread", decimals(force, 0)),
            None => String::new(),
        });
        let share = snap.permitted_percent.map(|permitted| snap.strain_percent / permitted);
        Some(Row { cells, strained: share.unwrap_or(0.0) })
    });
    Group { word: "snap", heads: &["undercut", "strain", "force"], rows: rows.collect() }
}

fn prints(manifest: &Manifest) -> Group {
    let rows = manifest.print.iter().map(|print| {
        let limit = decimals(manifest.printer.overhang_deg, 2);
        let steepest = decimals(print.steepest_overhang_deg, 1);
        let overhang = match print.steep_area_mm2 {
            area if area >= 0.05 => {
                format!("{} mm2 steeper than {limit} deg, up to {steepest}", decimals(area, 1))
            }
            _ if print.steepest_overhang_deg < 0.05 => "nothing hangs over".to_string(),
            _ => format!("hangs over by {steepest} of {limit} deg"),
        };
        let mut copies = counted(print.copies, "copy");
        if print.spares > 0 {
            let _ = write!(copies, " and {} spare", print.spares);
        }
        let brim = match (&print.brim, &print.base) {
            (Some(brim), _) => format!(", brim {} mm", decimals(brim.width_mm, 2)),
            (None, Some(base)) if base.brim_advised => ", brim advised".to_string(),
            _ => String::new(),
        };
        Row {
            cells: vec![
                print.part.clone(),
                format!("{copies} {}", print.pose),
                counted(print.layers, "layer"),
                format!("{} mm2 on the bed{brim}", decimals(print.bed_contact_mm2, 0)),
                overhang,
            ],
            strained: print.steep_area_mm2,
        }
    });
    let heads = &["copies and pose", "layers", "contact", "overhang"];
    Group { word: "print", heads, rows: rows.collect() }
}

fn props(manifest: &Manifest) -> Group {
    let rows = manifest.print.iter().filter_map(|print| {
        let props = print.props.as_ref()?;
        let mut count = counted(props.count, "column");
        if props.on_part > 0 {
            let _ = write!(count, ", {} on the part", props.on_part);
        }
        if props.repeats > 1 {
            let _ = write!(count, ", alike under {} repeats", props.repeats);
        }
        let air = |word: &str, gap: &AirGap| {
            let (least, most) = (gap.least?, gap.most?);
            let [least, most, asked] = [least, most, gap.asked].map(|g| decimals(g, 3));
            Some(format!("{word} {least} to {most} mm, asked {asked}"))
        };
        Some(Row {
            cells: vec![
                print.part.clone(),
                count,
                air("air above", &props.gap_above_mm).unwrap_or_default(),
                air("below", &props.gap_below_mm).unwrap_or_default(),
                format!(
                    "up to {} mm tall, {} mm3",
                    decimals(props.tallest_mm, 2),
                    decimals(props.volume_mm3, 1)
                ),
            ],
            strained: props.without_room as f64,
        })
    });
    let heads = &["columns", "air above", "air below", "size"];
    Group { word: "props", heads, rows: rows.collect() }
}

/// All copies, one after the other.
fn times(manifest: &Manifest) -> Group {
    let minutes = manifest.print.iter().map(|p| (p.copies + p.spares) as f64 * p.rough_minutes);
    let minutes = minutes.sum::<f64>().round() as u64;
    let rough = format!("roughly {} h {} min", minutes / 60, minutes % 60);
    let rows = vec![Row::of([rough, manifest.time_assumes.clone()])];
    Group { word: "time", heads: &["assumed"], rows }
}

fn rules(manifest: &Manifest) -> Group {
    let rows = manifest.requires.iter().map(|rule| Row {
        cells: vec![rule.text.clone(), found(rule)],
        strained: if rule.holds { 0.0 } else { 1.0 },
    });
    Group { word: "require", heads: &["found"], rows: rows.collect() }
}

fn found(rule: &RequireEntry) -> String {
    // A ratio is told as the author wrote it.
    let in_percent = rule.text.trim_end().ends_with('%');
    let side = |side: &Side| {
        let value = match &side.value {
            Value::Number(value) if in_percent && side.unit.is_none() => {
                format!("{} %", decimals(value * 100.0, 4))
            }
            Value::Number(value) => decimals(*value, 4),
            Value::Text(text) => format!("\"{text}\""),
            Value::Truth(true) => "yes".to_string(),
            Value::Truth(false) => "no".to_string(),
        };
        side.unit.as_ref().map_or(value.clone(), |unit| format!("{value} {unit}"))
    };
    let measured = rule.left.as_ref().map(side).unwrap_or_default();
    if rule.holds { measured } else { format!("{measured} (does not hold)") }
}

fn findings(manifest: &Manifest) -> Group {
    let rows = manifest.findings.iter().map(|finding| {
        let place = match (&finding.file, finding.line) {
            (Some(file), Some(line)) => format!(" ({file}:{line})"),
            _ => String::new(),
        };
        Row::of([
            format!("{} {}", finding.code, finding.name),
            format!("{}{place}", finding.message),
        ])
    });
    Group { word: "finding", heads: &["says"], rows: rows.collect() }
}

fn cautions(manifest: &Manifest) -> Group {
    let rows = manifest.cautions.iter().map(|caution| Row::of([caution.clone()]));
    Group { word: "caution", heads: &[], rows: rows.collect() }
}

fn gap(gap: &Gap) -> String {
    let [least, most, asked] = [gap.least, gap.most, gap.asked].map(|g| decimals(g, 3));
    let mut text = format!("gap {least} to {most} mm");
    if let (Some(least), Some(most)) = (gap.worst_least, gap.worst_most) {
        let _ = write!(text, ", at worst {} to {}", decimals(least, 3), decimals(most, 3));
    }
    let _ = match &gap.called {
        Some(name) => write!(text, ", asked {name} = {asked}"),
        None => write!(text, ", asked {asked}"),
    };
    text
}

fn counted(n: u64, word: &str) -> String {
    match (n, word.strip_suffix('y')) {
        (1, _) => format!("1 {word}"),
        (_, Some(stem)) => format!("{n} {stem}ies"),
        _ => format!("{n} {word}s"),
    }
}
