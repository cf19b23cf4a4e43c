//! Who may ask for what. Only pages of this server, by the names of this machine for itself:
//! a page from elsewhere that finds its way here, also by a name of its own that leads to
//! loopback, is refused. Other users of this machine reach loopback, too: every path begins
//! with a key that only the terminal tells.

use super::http::Request;
use serde::Deserialize;

/// Values for givens: names and texts.
pub type Sets = Vec<(String, String)>;

/// Values in one request; no design has so many givens.
const MOST_SETS: usize = 200;

/// Letters of a page's own name, or of a state.
const LONGEST_NAME: usize = 100;

/// What is asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum Wish {
    /// The page itself.
    Page,
    /// The design with these values, once it is another than the one `seen`. A new wish of the
    /// same page ends the one before.
    Design { page: String, seen: String, sets: Sets },
    /// A shaded view, for browsers without WebGL.
    Still { sets: Sets },
    /// These values become defaults in the file.
    Write { sets: Sets },
}

/// Why a request is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Status code (RFC 9110).
    pub status: u16,
    /// In words.
    pub why: &'static str,
}

impl Refused {
    /// With a status and words.
    pub fn new(status: u16, why: &'static str) -> Self {
        Refused { status, why }
    }
}

/// What a run of the program keeps to itself.
#[derive(Clone, Copy, Debug)]
pub struct Secrets<'a> {
    /// The first step of every path; told by the terminal.
    pub key: &'a str,
    /// What must come with what writes; told to the page.
    pub token: &'a str,
}

/// What a request asks for.
///
/// # Errors
/// When it may not ask, or there is no such thing.
pub fn wish(request: &Request, port: u16, secrets: Secrets<'_>) -> Result<Wish, Refused> {
    let header = |name: &str| request.headers.get(name).map(String::as_str);
    let own = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let is_own = |host: &str| own.iter().any(|o| o.eq_ignore_ascii_case(host));
    if !header("host").is_some_and(is_own) {
        return Err(Refused::new(421, "this server has no such name"));
    }
    let origin = header("origin");
    if !origin.is_none_or(|o| o.strip_prefix("http://").is_some_and(is_own)) {
        return Err(Refused::new(403, "a page from elsewhere may not ask"));
    }
    // Browsers say who asks (W3C Fetch Metadata): this page, or somebody who typed the address.
    if !header("sec-fetch-site").is_none_or(|site| ["same-origin", "none"].contains(&site)) {
        return Err(Refused::new(403, "a page from elsewhere may not ask"));
    }
    let (path, query) = request.target.split_once('?').unwrap_or((&request.target, ""));
    let (key, path) = path.strip_prefix('/').and_then(|p| p.split_once('/')).unwrap_or_default();
    if !is_same(key, secrets.key) {
        return Err(Refused::new(403, "only the address that pipkin watch printed is answered"));
    }
    match (path, request.method.as_str()) {
        ("", "GET") => Ok(Wish::Page),
        ("design", "GET") => {
            let Query { page, seen, sets } = read_query(query)?;
            Ok(Wish::Design { page, seen, sets })
        }
        ("still.png", "GET") => Ok(Wish::Still { sets: read_query(query)?.sets }),
        ("write", "POST") => write(request, secrets.token),
        ("" | "design" | "still.png", _) => Err(Refused::new(405, "only GET is answered here")),
        ("write", _) => Err(Refused::new(405, "only POST writes")),
        _ => Err(Refused::new(404, "there is nothing here")),
    }
}

/// Compared by digest: how long that takes tells nothing of the secret.
fn is_same(given: &str, secret: &str) -> bool {
    blake3::hash(given.as_bytes()) == blake3::hash(secret.as_bytes())
}

fn write(request: &Request, token: &str) -> Result<Wish, Refused> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Body {
        sets: Sets,
    }
    let header = |name: &str| request.headers.get(name).map(String::as_str);
    let given = header("x-pipkin-token").unwrap_or_default();
    if !is_same(given, token) {
        return Err(Refused::new(403, "this page is of another run: reload it"));
    }
    if header("content-type") != Some("application/json") {
        return Err(Refused::new(415, "values come as JSON"));
    }
    let body: Body = serde_json::from_slice(&request.body)
        .map_err(|_| Refused::new(400, "that is not a list of values"))?;
    Ok(Wish::Write { sets: few(body.sets)? })
}

#[derive(Debug, Default)]
struct Query {
    page: String,
    seen: String,
    sets: Sets,
}

fn read_query(query: &str) -> Result<Query, Refused> {
    let bad = || Refused::new(400, "that is no question");
    let mut read = Query::default();
    for pair in query.split('&').filter(|pair| !pair.is_empty()) {
        let (name, value) = pair.split_once('=').ok_or_else(bad)?;
        let value = decoded(value).ok_or_else(bad)?;
        match name {
            "page" if value.len() <= LONGEST_NAME => read.page = value,
            "seen" if value.len() <= LONGEST_NAME => read.seen = value,
            "set" => {
                let (given, text) = value.split_once('=').ok_or_else(bad)?;
                read.sets.push((given.to_string(), text.to_string()));
            }
            _ => return Err(bad()),
        }
    }
    read.sets = few(read.sets)?;
    Ok(read)
}

fn few(sets: Sets) -> Result<Sets, Refused> {
    if sets.len() > MOST_SETS {
        return Err(Refused::new(400, "those are too many values"));
    }
    Ok(sets)
}

/// A value of a query: `%` and two hexadecimal digits for a byte, `+` for a blank (WHATWG URL,
/// application/x-www-form-urlencoded).
fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let mut digit = || char::from(rest.next()?).to_digit(16);
                (digit()? * 16 + digit()?) as u8
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(method: &str, target: &str, headers: &[(&str, &str)], body: &str) -> Request {
        let headers = headers.iter().map(|(n, v)| (n.to_string(), v.to_string()));
        let body = body.as_bytes().to_vec();
        let (method, target) = (method.to_string(), target.to_string());
        Request { method, target, headers: headers.collect(), body }
    }

    const SECRETS: Secrets<'_> = Secrets { key: "key", token: "secret" };
    const HOST: (&str, &str) = ("host", "127.0.0.1:80");

    fn status(method: &str, target: &str, headers: &[(&str, &str)]) -> u16 {
        wish(&asked(method, target, headers, ""), 80, SECRETS).map_or_else(|r| r.status, |_| 200)
    }

    #[test]
    fn only_its_own_names_are_answered() {
        for host in ["127.0.0.1:80", "localhost:80", "LOCALHOST:80"] {
            assert_eq!(status("GET", "/key/", &[("host", host)]), 200, "{host}");
        }
        for host in
            ["127.0.0.1", "localhost:81", "evil.example:80", "127.0.0.1:80.evil.example", ""]
        {
            assert_eq!(status("GET", "/key/", &[("host", host)]), 421, "{host}");
        }
        assert_eq!(status("GET", "/key/", &[]), 421);
    }

    #[test]
    fn pages_from_elsewhere_are_refused() {
        let with = |name: &str, value: &str| status("GET", "/key/design", &[HOST, (name, value)]);
        assert_eq!(with("origin", "http://127.0.0.1:80"), 200);
        for origin in ["null", "http://evil.example", "https://127.0.0.1:80", "http://127.0.0.1:81"]
        {
            assert_eq!(with("origin", origin), 403, "{origin}");
        }
        assert_eq!(with("sec-fetch-site", "same-origin"), 200);
        for site in ["cross-site", "same-site"] {
            assert_eq!(with("sec-fetch-site", site), 403, "{site}");
        }
    }

    #[test]
    fn there_are_four_paths_with_one_method_each() {
        for path in ["../etc/passwd", "design/", "/", "write.pkn", "%2e%2e/", "key/"] {
            assert_eq!(status("GET", &format!("/key/{path}"), &[HOST]), 404, "{path}");
        }
        for method in ["POST", "PUT", "DELETE", "HEAD", "OPTIONS", "get"] {
            assert_eq!(status(method, "/key/", &[HOST]), 405, "{method}");
            assert_eq!(status(method, "/key/design", &[HOST]), 405, "{method}");
        }
        assert_eq!(status("GET", "/key/write", &[HOST]), 405);
    }

    /// Also what is there is not told to who lacks the key.
    #[test]
    fn without_the_key_nothing_is_answered() {
        let paths =
            ["/", "/key", "/design", "/still.png", "//", "/ke/", "/keys/", "/KEY/", "/k%65y/"];
        for path in
            paths.into_iter().chain(["", "key/", "*", "/../key/", "/none", "/?key=key", "/?/key/"])
        {
            for method in ["GET", "POST", "OPTIONS"] {
                assert_eq!(status(method, path, &[HOST]), 403, "{method} {path}");
            }
        }
        assert_eq!(status("GET", "/key/?from=elsewhere", &[HOST]), 200);
    }

    #[test]
    fn writing_needs_the_token_and_json() {
        let write = |token: &str, kind: &str, body: &str| {
            let headers = [HOST, ("x-pipkin-token", token), ("content-type", kind)];
            wish(&asked("POST", "/key/write", &headers, body), 80, SECRETS)
        };
        let body = r#"{"sets":[["bore","80 mm"]]}"#;
        let sets = vec![("bore".to_string(), "80 mm".to_string())];
        assert_eq!(write("secret", "application/json", body), Ok(Wish::Write { sets }));
        assert_eq!(write("", "application/json", body).unwrap_err().status, 403);
        assert_eq!(write("secre", "application/json", body).unwrap_err().status, 403);
        assert_eq!(write("secret", "text/plain", body).unwrap_err().status, 415);
        for body in ["", "{}", "[]", r#"{"sets":[["a"]]}"#, r#"{"sets":[],"file":"x"}"#] {
            assert_eq!(
                write("secret", "application/json", body).unwrap_err().status,
                400,
                "{body}"
            );
        }
    }

    #[test]
    fn queries_are_read_or_refused() {
        let read = read_query("page=a&seen=1.2&set=bore%3D80+mm&set=a%3Db%3Dc").unwrap();
        assert_eq!((read.page.as_str(), read.seen.as_str()), ("a", "1.2"));
        assert_eq!(read.sets[0], ("bore".to_string(), "80 mm".to_string()));
        assert_eq!(read.sets[1], ("a".to_string(), "b=c".to_string()));
        for query in ["set=bore", "x=1", "set=%zz%3D1", "set=%", "page", "set=%ff%3D1"] {
            assert!(read_query(query).is_err(), "{query}");
        }
        assert!(read_query(&"set=a%3D1&".repeat(MOST_SETS + 1)).is_err());
    }
}
