//! The report as one HTML file that needs nothing else: pictures are in it.

use super::pictures::Picture;
use super::report::Report;
use super::table::{sections, verdict};
use crate::output::pictures::base64;

const STYLE: &str = "\
:root{color-scheme:light dark}
body{font:15px/1.45 system-ui,sans-serif;max-width:76rem;margin:2rem auto;padding:0 1rem}
h1{font-size:1.35rem;margin-bottom:.2rem}
h2{font-size:1.05rem;margin:1.6rem 0 .4rem}
table{border-collapse:collapse;font-variant-numeric:tabular-nums}
td,th{text-align:left;padding:.15rem .9rem .15rem 0;border-bottom:1px solid #8884;vertical-align:top}
tr.limit td{font-weight:700}
figure{display:inline-block;margin:.4rem .8rem .4rem 0;max-width:100%}
figure img{max-width:100%;background:#fff;border:1px solid #8886}
figure.small img{width:24rem}
figcaption,p.remark{opacity:.8}
";

/// The whole file.
pub(super) fn html(report: &Report, pictures: &[Picture]) -> String {
    let title = format!("{} to {}", report.old, report.new);
    let mut text = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{}</h1>\n<p>{}</p>\n",
        escaped(&title),
        escaped(&verdict(report)),
        escaped(&title)
    );
    for section in sections(report) {
        text += &format!("<h2>{}</h2>\n", section.heading);
        if !section.rows.is_empty() {
            text += "<table>\n<tr>";
            section.columns.iter().for_each(|c| text += &format!("<th>{}</th>", escaped(c)));
            text += "</tr>\n";
        }
        for row in &section.rows {
            let is_limit = row.first().is_some_and(|word| word == "CROSSED");
            text += if is_limit { "<tr class=\"limit\">" } else { "<tr>" };
            row.iter().for_each(|cell| text += &format!("<td>{}</td>", escaped(cell)));
            text += "</tr>\n";
        }
        if !section.rows.is_empty() {
            text += "</table>\n";
        }
        if let Some(remark) = &section.remark {
            text += &format!("<p class=\"remark\">{}</p>\n", escaped(remark));
        }
    }
    if !pictures.is_empty() {
        text += "<h2>pictures</h2>\n<p>added: hatched; removed: dotted; what stays: plain</p>\n";
    }
    pictures.iter().for_each(|picture| text += &figure(picture));
    for note in &report.notes {
        text += &format!("<p>{}</p>\n", escaped(note));
    }
    text + "</body>\n</html>\n"
}

fn figure(picture: &Picture) -> String {
    let (kind, class) = match picture.ending {
        "svg" => ("image/svg+xml", ""),
        _ => ("image/png", " class=\"small\""),
    };
    format!(
        "<figure{class}><img alt=\"{0}\" src=\"data:{kind};base64,{1}\">\
         <figcaption>{0}</figcaption></figure>\n",
        picture.shows,
        base64(&picture.bytes)
    )
}

fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
