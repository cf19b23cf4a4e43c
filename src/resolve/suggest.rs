//! Did you mean …?

use std::collections::BTreeSet;

/// American spellings and near misses of the trade, with the word of the language.
const SPELLINGS: [(&str, &str); 10] = [
    ("color", "colour"),
    ("center", "centre"),
    ("miter", "mitre"),
    ("license", "licence"),
    ("author", "by"),
    ("radius", "diameter"),
    ("filament", "material"),
    ("position", "at"),
    ("rotate", "spun"),
    ("diam", "diameter"),
];

/// The candidate that `word` most likely stands for: the language's own spelling of it,
/// else the nearest by edit distance (Damerau-Levenshtein), at most a third of the
/// letters away. The first in the alphabet where two are as near.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let candidates: BTreeSet<&str> = candidates.into_iter().filter(|c| *c != word).collect();
    let spelt = SPELLINGS.iter().find(|(wrong, _)| *wrong == word);
    if let Some(found) = spelt.and_then(|(_, right)| candidates.get(right)) {
        return Some(found);
    }
    let lower = word.to_ascii_lowercase();
    candidates
        .into_iter()
        .map(|c| (strsim::damerau_levenshtein(&lower, &c.to_ascii_lowercase()), c))
        .filter(|(distance, c)| *distance <= (word.len().max(c.len()) / 3).max(1))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, c)| c)
}

/// `did you mean wall?`, when anything is near.
pub fn did_you_mean<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    nearest(word, candidates).map(|found| format!("did you mean `{found}`?"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_word_is_offered_and_far_ones_are_not() {
        let words = ["wall", "colour", "floor", "foot"];
        assert_eq!(nearest("wal", words), Some("wall"));
        assert_eq!(nearest("color", words), Some("colour"));
        assert_eq!(nearest("Flor", words), Some("floor"));
        assert_eq!(nearest("repeats", words), None);
        assert_eq!(nearest("ab", ["xy"]), None);
    }
}
