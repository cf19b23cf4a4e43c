//! `watch`: the preview page of a design that is being edited, for this machine only.
//!
//! In: a file, a port. Out: a page on loopback that follows the file and tries other values
//! of its givens; a new default in the file when the page asks for it. Kept out: anything a
//! design means, any address but loopback, any path but four, any file but the design's.
//!
//! One thread looks at the files, one builds after every change, each connection has one of
//! few threads. A build asks between its stages whether it is still wanted.

mod changes;
mod gate;
mod http;
mod token;
mod workshop;
mod write_back;

pub use http::LIMITS;

use crate::diagnostics::Diagnostic;
use crate::output::pictures::{PageKind, page_html};
use crate::pipeline::{CANNOT_LISTEN, Options, Previewed};
use gate::{Refused, Wish};
use http::Answer;
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use workshop::Workshop;

/// Ports that are tried one after the other when none is asked for.
const PORTS: std::ops::RangeInclusive<u16> = 7424..=7440;

/// Connections at a time; a page needs two.
const MOST_CONNECTIONS: usize = 24;

/// Of threads that build: expressions may stand deep inside each other.
const BUILD_STACK: usize = 32 << 20;

/// What is watched.
#[derive(Clone, Debug)]
pub struct Watch {
    /// The design.
    pub file: PathBuf,
    /// The port; none: the first free one of a few.
    pub port: Option<u16>,
    /// Size and values that the command sets.
    pub options: Options,
}

/// Who is told what happens.
pub trait Listener: Sync {
    /// The page is ready at this address; who does not know all of it is not answered.
    fn ready(&self, address: &str);
    /// A build after a change is done; it took so long.
    fn built(&self, built: &Previewed, took: Duration);
}

/// Watches until the process ends.
///
/// # Errors
/// A finding when there is no port to listen on.
pub fn watch(watch: &Watch, listener: &dyn Listener) -> Result<(), Box<Diagnostic>> {
    let socket = listen(watch.port)?;
    let port = socket.local_addr().map_or(0, |address| address.port());
    let workshop = Workshop::new(watch.file.clone(), watch.options.clone());
    let open = AtomicUsize::new(0);
    listener.ready(&format!("http://127.0.0.1:{port}/{}/", workshop.secrets().key));
    std::thread::scope(|threads| {
        let spawned = [
            std::thread::Builder::new().spawn_scoped(threads, || workshop.look()).is_ok(),
            std::thread::Builder::new()
                .stack_size(BUILD_STACK)
                .spawn_scoped(threads, || workshop.follow(listener))
                .is_ok(),
        ];
        if spawned.contains(&false) {
            return Err(cannot_listen(port, "the system gives no more threads"));
        }
        loop {
            // A connection that failed before it began is nobody's loss.
            let Ok((stream, _)) = socket.accept() else { continue };
            if open.fetch_add(1, Ordering::SeqCst) >= MOST_CONNECTIONS {
                open.fetch_sub(1, Ordering::SeqCst);
                http::turn_away(&stream);
                continue;
            }
            let (workshop, place) = (&workshop, Place(&open));
            let serve = move || {
                serve(&stream, workshop, port);
                drop(place);
            };
            // Where there is no thread the closure is dropped, and the connection with it.
            let _ =
                std::thread::Builder::new().stack_size(BUILD_STACK).spawn_scoped(threads, serve);
        }
    })
}

/// One of the places for connections; free again when it is dropped, whatever happened.
struct Place<'a>(&'a AtomicUsize);

impl Drop for Place<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

fn listen(port: Option<u16>) -> Result<TcpListener, Box<Diagnostic>> {
    let bind = |port: u16| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    match port {
        Some(port) => bind(port).map_err(|e| cannot_listen(port, &e.to_string())),
        None => PORTS
            .chain([0])
            .find_map(|port| bind(port).ok())
            .ok_or_else(|| cannot_listen(*PORTS.start(), "no port is free")),
    }
}

fn cannot_listen(port: u16, why: &str) -> Box<Diagnostic> {
    let message = format!("no page can be served on port {port} of this machine: {why}");
    let help = "say another port, as in --port 8040";
    Box::new(Diagnostic::nowhere(CANNOT_LISTEN, message).help(help))
}

/// One connection: one request, one answer.
fn serve(stream: &TcpStream, workshop: &Workshop, port: u16) {
    let request = match http::read(stream) {
        Ok(request) => request,
        Err(refused) => return http::write(stream, &Answer::refused(&refused)),
    };
    let answer = match gate::wish(&request, port, workshop.secrets()) {
        Err(refused) => Answer::refused(&refused),
        Ok(Wish::Page) => page(workshop),
        Ok(Wish::Design { page, seen, sets }) => match workshop.design(&page, &seen, &sets) {
            Some(built) => Answer::json(built.json.clone()),
            None => Answer::nothing_new(),
        },
        Ok(Wish::Still { sets }) => match workshop.still(&sets) {
            Some(png) => Answer::png(png),
            None => Answer::refused(&Refused::new(404, "there is no picture")),
        },
        Ok(Wish::Write { sets }) => Answer::json(workshop.write(&sets)),
    };
    http::write(stream, &answer);
}

fn page(workshop: &Workshop) -> Answer {
    let title = workshop.file().file_stem().unwrap_or_default().to_string_lossy();
    Answer::html(page_html(&title, PageKind::Served { token: workshop.secrets().token }))
}

/// The time, for waiting and for telling how long a build took; no result depends on it.
#[expect(clippy::disallowed_methods, reason = "a server must bound how long others take")]
fn now() -> Instant {
    Instant::now()
}
