//! The same source gives the same bytes: over runs, thread counts and folders.

use crate::tools::{contents, example, pipkin};
use std::path::Path;

#[test]
fn every_output_has_the_same_bytes_on_every_run() {
    let folder = tempfile::tempdir().expect("a folder");
    let elsewhere = tempfile::tempdir().expect("another folder");
    for name in ["button-jar", "seed-tumbler", "salt-cellar"] {
        let file = example(name);
        let file = file.to_str().expect("a plain path");
        let build = |out: &str, threads: &str, from: &Path| {
            let out = folder.path().join(name).join(out);
            let target = out.to_str().expect("a plain path");
            let arguments = ["build", "-q", file, "--pictures", "--out", target];
            let done = pipkin(&arguments, from, threads);
            assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
            contents(&out)
        };
        let first = build("1", "1", folder.path());
        assert!(first.len() >= 4, "{name}: only {} files", first.len());
        let runs = [("2", "2"), ("3", "8"), ("4", "1"), ("5", "2")];
        for (out, threads) in runs {
            let from = if out == "5" { elsewhere.path() } else { folder.path() };
            let again = build(out, threads, from);
            for ((path, ours), (other, theirs)) in first.iter().zip(&again) {
                assert_eq!(path, other, "{name}: another set of files");
                assert!(ours == theirs, "{name}: {} differs on {threads} threads", path.display());
            }
            assert_eq!(first.len(), again.len());
        }
    }
}
