//! The parts of `--help` that teach.

/// Under `pipkin --help`.
pub const TOP: &str = "\
Start here:
  pipkin new mug                 write mug.pkn, a jar with a lid
  pipkin build mug.pkn           make out/: one STL a part, one 3MF with all of them,
                                 and mug.manifest.json with the measured fits
  pipkin explain unit-mismatch   what a finding means and how to mend it

Results go to standard output, everything else to standard error.
Exit codes: 0 clean, 1 errors in the source, 2 wrong usage, 3 a bug of ours; compare: 4 changed.";

/// Under `pipkin check --help`.
pub const CHECK: &str = "\
Examples:
  pipkin check jar.pkn
  pipkin check jar.pkn --set bore=80mm --set deep='4 in'
  pipkin check jar.pkn --message-format short --deny warnings";

/// Under `pipkin build --help`.
pub const BUILD: &str = "\
Examples:
  pipkin build jar.pkn                          everything, into out/ beside jar.pkn
  pipkin build jar.pkn --set bore=80mm          with another value for one input
  pipkin build jar.pkn --size pantry            one size, into out/pantry/
  pipkin build jar.pkn --every-size --out made  all sizes, into made/SIZE/
  pipkin build jar.pkn --only belt              the files of one part
  pipkin build jar.pkn --sheet markdown         what was measured as Markdown, for a review

The files of a folder are replaced together or not at all. Nothing is written when there
is an error, and only files that an earlier build wrote are ever replaced or removed.";

/// Under `pipkin coupon --help`.
pub const COUPON: &str = "\
Examples:
  pipkin coupon jar.pkn                the coupons of jar.pkn, into coupon/ beside it
  pipkin coupon jar.pkn --size pantry  for the walls and motifs of one size

Print them, try which pocket or ring fits as you like, count its notches, and write its gap
into your printer: measured: gaps { snap: 0.15 mm }. Every gap of that name follows.";

/// Under `pipkin watch --help`.
pub const WATCH: &str = "\
Examples:
  pipkin watch jar.pkn                show it, follow every save
  pipkin watch jar.pkn --port 8040    on port 8040 of this machine
  pipkin watch jar.pkn --size pantry  one of its sizes

The address that is printed holds a key of this run: others on this machine, who do not know
it, are not answered. The page shows what can be shown of a file with mistakes. Values
tried with its sliders stay in the page until you have them written to the file. It measures
meshes; exact bodies and files are made by build. End it with Ctrl-C.";

/// Under `pipkin sizes --help`.
pub const SIZES: &str = "\
Examples:
  pipkin sizes jar.pkn                     what every size measures and holds, and how it fits
  pipkin sizes jar.pkn --report markdown   the same, for a review
  pipkin sizes jar.pkn --report csv        every measured value in a column of its own

Everything is made and measured as by build; no file is written.";

/// Under `pipkin sweep --help`.
pub const SWEEP: &str = "\
Examples:
  pipkin sweep jar.pkn --vary bore=40mm..140mm/5mm
  pipkin sweep jar.pkn --vary bore=40mm..140mm/5mm --vary deep=60mm,84mm --show mass

Table and chart tell where limits are crossed. A value that a given does not permit, and a
variant with errors, are counted, not fatal. What was measured is kept: a sweep that was
stopped goes on where it was, until the design changes. Only meshes are made and measured.";

/// Under `pipkin compare --help`.
pub const COMPARE: &str = "\
Examples:
  pipkin compare jar.pkn                       the last commit against the file as it is now
  pipkin compare HEAD~3:jar.pkn HEAD:jar.pkn   two revisions, without a checkout
  pipkin compare old/jar.pkn jar.pkn           two files
  pipkin compare jar.manifest.json jar.pkn     an earlier build's values against a file
  pipkin compare jar.pkn --out seen            all forms of the report, with pictures, in seen/

Exit codes: 0 nothing changed in form or fit, 4 something did, 1 a side has errors or, with
--fail-on fit, a limit is newly crossed.";

/// Under `pipkin tell --help`.
pub const TELL: &str = "\
Examples:
  pipkin tell out/jar.stl             triangles, size, volume, area and hash
  pipkin tell out/jar.manifest.json   inputs and every measured value, one a line

git calls it for its own differences once `pipkin setup-git --write` was run.";

/// Under `pipkin setup-git --help`.
pub const SETUP_GIT: &str = "\
Examples:
  pipkin setup-git           show what would be written, and what it is for
  pipkin setup-git --write   write it

Lines of .gitattributes are committed; settings are of this clone. Nothing else is touched. The
layout of `pipkin format` has one field a line, so that two people's changes merge.";

/// Under `pipkin format --help`.
pub const FORMAT: &str = "\
Examples:
  pipkin format jar.pkn feet.pkn    rewrite both, where that changes anything
  pipkin format --check *.pkn       list those that would change, write nothing
  pipkin format - < jar.pkn         for editors: from standard input to standard output

There are no options of taste. Comments stay, and so do breaks between lines where the layout
leaves a choice. A file with mistakes in its syntax is left as it is.";

/// Under `pipkin explain --help`.
pub const EXPLAIN: &str = "\
Examples:
  pipkin explain E0301
  pipkin explain unit-mismatch
  pipkin explain                 all findings, one a line";

/// Under `pipkin new --help`.
pub const NEW: &str = "\
Example:
  pipkin new mug && pipkin build mug.pkn

An existing file is never overwritten.";

/// Under `pipkin completions --help`.
pub const COMPLETIONS: &str = "\
Examples:
  pipkin completions bash > ~/.local/share/bash-completion/completions/pipkin
  pipkin completions fish > ~/.config/fish/completions/pipkin.fish";
