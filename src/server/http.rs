//! The little of HTTP/1.1 (RFC 9112) that one page needs: one request to a connection, bounded
//! in size and time.

use super::gate::Refused;
use super::now;
use std::collections::BTreeMap;
use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// What a request may be. Sizes in bytes.
pub const LIMITS: Limits = Limits {
    head: 16 << 10,
    body: 64 << 10,
    read: Duration::from_secs(5),
    write: Duration::from_secs(20),
};

/// Bounds of a request and its answer.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Of request line and headers.
    pub head: usize,
    /// Of what follows them.
    pub body: usize,
    /// Time for all of a request to come.
    pub read: Duration,
    /// Time for all of an answer to go.
    pub write: Duration,
}

/// A request as it came.
#[derive(Clone, Debug, Default)]
pub struct Request {
    /// `GET`
    pub method: String,
    /// Path and query.
    pub target: String,
    /// Names in lower case.
    pub headers: BTreeMap<String, String>,
    /// What follows the headers.
    pub body: Vec<u8>,
}

/// What goes back.
#[derive(Clone, Debug)]
pub struct Answer {
    status: u16,
    kind: &'static str,
    body: Vec<u8>,
}

impl Answer {
    /// A page.
    pub fn html(text: String) -> Self {
        Answer { status: 200, kind: "text/html; charset=utf-8", body: text.into_bytes() }
    }

    /// Data.
    pub fn json(text: String) -> Self {
        Answer { status: 200, kind: "application/json", body: text.into_bytes() }
    }

    /// A picture.
    pub fn png(bytes: Vec<u8>) -> Self {
        Answer { status: 200, kind: "image/png", body: bytes }
    }

    /// Nothing has changed.
    pub fn nothing_new() -> Self {
        Answer { status: 204, kind: "text/plain; charset=utf-8", body: Vec::new() }
    }

    /// Why not.
    pub fn refused(refused: &Refused) -> Self {
        let body = format!("{}\n", refused.why).into_bytes();
        Answer { status: refused.status, kind: "text/plain; charset=utf-8", body }
    }
}

/// Reads one request.
///
/// # Errors
/// When it is too large, too slow, or no request.
pub fn read(stream: &TcpStream) -> Result<Request, Refused> {
    let mut input = Timed { stream, until: now() + LIMITS.read };
    let mut bytes = Vec::new();
    let end = loop {
        if let Some(end) = bytes.windows(4).position(|w| w == b"\r\n\r\n") {
            break end;
        }
        if bytes.len() > LIMITS.head {
            return Err(Refused::new(431, "the request's head is too large"));
        }
        input.more(&mut bytes)?;
    };
    if end > LIMITS.head {
        return Err(Refused::new(431, "the request's head is too large"));
    }
    let mut request = head(&bytes[..end])?;
    request.body = bytes.split_off(end + 4);
    let length = body_length(&request.headers)?;
    while request.body.len() < length {
        input.more(&mut request.body)?;
    }
    if request.body.len() > length {
        return Err(Refused::new(400, "more came than was announced"));
    }
    Ok(request)
}

fn head(bytes: &[u8]) -> Result<Request, Refused> {
    let bad = || Refused::new(400, "that is no request");
    let text = std::str::from_utf8(bytes).map_err(|_| bad())?;
    let mut lines = text.split("\r\n");
    let words: Vec<&str> = lines.next().unwrap_or_default().split(' ').collect();
    let [method, target, "HTTP/1.1"] = words[..] else { return Err(bad()) };
    let mut headers = BTreeMap::new();
    for line in lines {
        let (name, value) = line.split_once(':').ok_or_else(bad)?;
        let is_name = !name.is_empty() && name.bytes().all(|b| b.is_ascii_graphic());
        let is_value = !value.bytes().any(|b| b.is_ascii_control() && b != b'\t');
        let name = name.to_ascii_lowercase();
        // A header that comes twice could be read in two ways.
        if !is_name || !is_value || headers.insert(name, value.trim().to_string()).is_some() {
            return Err(bad());
        }
    }
    let (method, target) = (method.to_string(), target.to_string());
    Ok(Request { method, target, headers, body: Vec::new() })
}

fn body_length(headers: &BTreeMap<String, String>) -> Result<usize, Refused> {
    if headers.contains_key("transfer-encoding") {
        return Err(Refused::new(501, "a body must come with its length"));
    }
    let Some(text) = headers.get("content-length") else { return Ok(0) };
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    match text.parse::<usize>() {
        Ok(length) if digits && length <= LIMITS.body => Ok(length),
        Ok(_) if digits => Err(Refused::new(413, "the request's body is too large")),
        _ => Err(Refused::new(400, "that is no length")),
    }
}

/// A stream that must be done by a time, however small the steps in which it goes.
struct Timed<'a> {
    stream: &'a TcpStream,
    until: Instant,
}

impl Timed<'_> {
    fn left(&self) -> Option<Duration> {
        let left = self.until.saturating_duration_since(now());
        (!left.is_zero()).then_some(left)
    }

    fn more(&mut self, bytes: &mut Vec<u8>) -> Result<(), Refused> {
        let slow = || Refused::new(408, "the request took too long");
        let left = self.left().ok_or_else(slow)?;
        self.stream.set_read_timeout(Some(left)).map_err(|_| slow())?;
        let mut some = [0; 4096];
        match self.stream.read(&mut some) {
            Ok(0) => Err(Refused::new(400, "the request broke off")),
            Ok(n) => {
                bytes.extend(&some[..n]);
                Ok(())
            }
            Err(e) if e.kind() == io::ErrorKind::Interrupted => Ok(()),
            Err(_) => Err(slow()),
        }
    }

    fn write(&mut self, mut bytes: &[u8]) -> io::Result<()> {
        while !bytes.is_empty() {
            let left = self.left().ok_or(io::ErrorKind::TimedOut)?;
            self.stream.set_write_timeout(Some(left))?;
            match self.stream.write(bytes) {
                Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
                Ok(n) => bytes = &bytes[n..],
                Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                Err(e) => return Err(e),
            }
        }
        Ok(())
    }
}

/// Sends an answer and ends the connection. A client that has gone is no fault.
pub fn write(stream: &TcpStream, answer: &Answer) {
    let words = match answer.status {
        200 => "OK",
        204 => "No Content",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        413 => "Content Too Large",
        415 => "Unsupported Media Type",
        421 => "Misdirected Request",
        431 => "Request Header Fields Too Large",
        501 => "Not Implemented",
        _ => "Service Unavailable",
    };
    let (status, kind) = (answer.status, answer.kind);
    let length = match status {
        204 => String::new(),
        _ => format!("Content-Length: {}\r\n", answer.body.len()),
    };
    let allow = if status == 405 { "Allow: GET\r\n" } else { "" };
    let head = format!(
        "HTTP/1.1 {status} {words}\r\nContent-Type: {kind}\r\n{length}{allow}\
         Cache-Control: no-store\r\nConnection: close\r\nContent-Security-Policy: frame-ancestors 'none'\r\n\
         Cross-Origin-Opener-Policy: same-origin\r\nCross-Origin-Resource-Policy: same-origin\r\n\
         Referrer-Policy: no-referrer\r\nX-Content-Type-Options: nosniff\r\n\r\n"
    );
    let mut output = Timed { stream, until: now() + LIMITS.write };
    let sent = output.write(head.as_bytes()).and_then(|()| output.write(&answer.body));
    if sent.is_ok() {
        // What a refused client still sends is read and dropped for a moment: closing over it
        // would take the answer away from it.
        let _ = stream.shutdown(std::net::Shutdown::Write);
        if status >= 400 {
            drain(stream);
        }
    }
}

fn drain(mut stream: &TcpStream) {
    let until = now() + Duration::from_millis(200);
    let mut some = [0; 4096];
    while now() < until {
        let _ = stream.set_read_timeout(Some(Duration::from_millis(50)));
        if !matches!(stream.read(&mut some), Ok(n) if n > 0) {
            return;
        }
    }
}

/// Too many at a time: said without waiting for anything.
pub fn turn_away(mut stream: &TcpStream) {
    let _ = stream.set_write_timeout(Some(Duration::from_millis(50)));
    let _ = stream.write_all(
        b"HTTP/1.1 503 Service Unavailable\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
    );
}
