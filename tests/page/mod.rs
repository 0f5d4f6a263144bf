//! Pages for the bench, in a real browser: nothing overlaps or is cut off, a phone can show them, and what is said to be at
//! true size is so on paper.
//!
//! Needs `chromium` and `pdftoppm` (Debian packages chromium and poppler-utils); where they are missing these tests are
//! passed over, but never in CI.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

use crate::cli::card::long_cards;
use crate::cli::session::program;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Whether a program can be started; in CI it must.
fn there(name: &str) -> bool {
    let found = Command::new(name).arg("--version").output().or_else(|_| Command::new(name).arg("-v").output()).is_ok();
    assert!(found || std::env::var_os("CI").is_none(), "{name} is missing");
    if !found {
        eprintln!("passed over: {name} is missing");
    }
    found
}

fn browser(folder: &Path, window: &str, more: &[&str], page: &Path) -> (String, String) {
    let output = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .args(["--enable-logging=stderr", "--v=0"])
        .arg(format!("--user-data-dir={}", folder.join("profile").display()))
        .arg(format!("--window-size={window}"))
        .args(more)
        .arg(format!("file://{}", page.display()))
        .output()
        .unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (text(&output.stdout), text(&output.stderr))
}

/// The page that a command writes.
fn page_of(folder: &Path, command: &[&str]) -> PathBuf {
    let page = folder.join("fly.html");
    let output = program(&[command, &["--quiet", "-o", page.to_str().unwrap(), "--force"]].concat()).output().unwrap();
    assert!(output.status.code().is_some_and(|code| code < 2), "{}", String::from_utf8_lossy(&output.stderr));
    page
}

/// The page of a recipe.
fn written(folder: &Path, recipe: &str) -> PathBuf {
    page_of(folder, &["card", recipe])
}

/// What a script in the page found: labels that overlap, labels that are cut off, and how wide the page is.
const LOOK: &str = "<script>window.onload = () => {\n\
    const found = [];\n\
    for (const svg of document.querySelectorAll('svg')) {\n\
      const frame = svg.getBoundingClientRect();\n\
      const labels = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);\n\
      labels.forEach(([text, box], i) => {\n\
        if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)\n\
          found.push('cut off: ' + text);\n\
        for (const [other, b] of labels.slice(i + 1)) {\n\
          const w = Math.min(box.right, b.right) - Math.max(box.left, b.left);\n\
          const h = Math.min(box.bottom, b.bottom) - Math.max(box.top, b.top);\n\
          if (w > 1 && h > 3) found.push('overlap: ' + text + ' / ' + other);\n\
        }\n\
      });\n\
      if (!svg.getAttribute('aria-label')) found.push('a drawing without a name');\n\
    }\n\
    if (document.documentElement.scrollWidth > innerWidth + 1) found.push('wider than the window: ' + document.documentElement.scrollWidth);\n\
    document.title = 'FOUND ' + innerWidth + ' [' + found.join(' | ') + ']';\n\
    }</script>";

#[test]
fn nothing_overlaps_or_is_cut_off() {
    if !there("chromium") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let jig = "examples/recipes/jig-12-foam-tail.yaml";
    let commands: [&[&str]; 12] = [
        &["card", jig],
        &["card", "examples/recipes/straight-8-pin.yaml"],
        &["card", "examples/recipes/floats.yaml"],
        &["card", jig, "--units", "us"],
        &["find", "--size", "8", "--variety", "idea"],
        &["find", "examples/targets/fast-and-weightless.yaml"],
        &["compare", "--size", "12", "--style", "jig", "--pattern", "slim-nymph", "--by", "bead.material"],
        &["compare", "--recipe", jig, "--swap", "bead=all"],
        &["compare", "--recipe", jig, "--swap", "bead=all", "--swap", "wire=none", "--swap", "foam=eva-strip-2x3mm"],
        &["box", "examples/boxes/conflicting-waters.yaml"],
        &["box", "tests/page/one-need-not-met.yaml"],
        &["box", "tests/page/one-fly-two-depths.yaml"],
    ];
    for command in commands {
        let page = page_of(folder.path(), command);
        looked_at(folder.path(), &page, &command.join(" "));
    }
}

/// Cards as sheets of A5: for each recipe nothing stands over anything else or leaves the sheet.
#[test]
fn cards_fit_their_sheet() {
    if !there("chromium") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let (sheet, page) = (folder.path().join("card.svg"), folder.path().join("card.html"));
    let examples = ["jig-12-foam-tail", "straight-8-pin"].map(|name| format!("examples/recipes/{name}.yaml"));
    for recipe in examples.into_iter().chain(long_cards()) {
        let args = ["card", &recipe, "--quiet", "--force", "-o", sheet.to_str().unwrap()];
        assert!(program(&args).output().unwrap().status.success(), "{recipe}");
        let svg = std::fs::read_to_string(&sheet).unwrap().replacen("<svg ", "<svg aria-label=\"card\" ", 1);
        std::fs::write(&page, format!("<!DOCTYPE html><meta charset=\"utf-8\"><body>{svg}</body>")).unwrap();
        looked_at_in(folder.path(), &page, &recipe, &["1200,900"]);
    }
}

fn looked_at(folder: &Path, page: &Path, name: &str) {
    looked_at_in(folder, page, name, &["360,800", "1200,900"]);
}

/// Opens a page in windows of these sizes and asserts that the script finds nothing wrong.
fn looked_at_in(folder: &Path, page: &Path, name: &str, windows: &[&str]) {
    let html = std::fs::read_to_string(page).unwrap();
    assert!(!html.contains("http:") || html.matches("http:").count() == html.matches("http://www.w3.org/").count());
    std::fs::write(page, html.replace("</body>", &format!("{LOOK}</body>"))).unwrap();
    for window in windows {
        let (dom, log) = browser(folder, window, &["--dump-dom", "--virtual-time-budget=2000"], page);
        let found = dom.split("FOUND ").nth(1).and_then(|rest| rest.split("</title>").next()).unwrap_or("no answer");
        assert!(found.ends_with("[]"), "{name} at {window}: {found}");
        assert!(!log.contains("CONSOLE"), "{name}: {log}");
    }
}

/// Dots to the millimetre at 300 to the inch.
const DOTS: f64 = 300.0 / 25.4;

/// Lengths of all runs of dark dots along the lines of a picture.
fn runs(picture: &[u8]) -> Vec<usize> {
    let mut words = picture.splitn(5, |b| b.is_ascii_whitespace());
    let mut number = || String::from_utf8_lossy(words.next().unwrap()).into_owned();
    assert_eq!(number(), "P5");
    let (width, height): (usize, usize) = (number().parse().unwrap(), number().parse().unwrap());
    let dots = &picture[picture.len() - width * height..];
    let mut lengths = Vec::new();
    for line in dots.chunks(width) {
        let mut length = 0;
        for dot in line.iter().chain([&255]) {
            if *dot < 128 {
                length += 1;
            } else if length > 0 {
                lengths.push(length);
                length = 0;
            }
        }
    }
    lengths
}

#[test]
fn true_size_is_true_on_paper() {
    if !there("chromium") || !there("pdftoppm") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let page = written(folder.path(), "examples/recipes/jig-12-foam-tail.yaml");
    let pdf = folder.path().join("fly.pdf");
    browser(
        folder.path(),
        "1200,900",
        &["--no-pdf-header-footer", &format!("--print-to-pdf={}", pdf.display())],
        &page,
    );
    let prefix = folder.path().join("paper");
    let status = Command::new("pdftoppm").args(["-r", "300", "-gray"]).arg(&pdf).arg(&prefix).status().unwrap();
    assert!(status.success());
    let mut all = Vec::new();
    for entry in std::fs::read_dir(folder.path()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "pgm") {
            all.extend(runs(&std::fs::read(path).unwrap()));
        }
    }
    let bar = 50.0 * DOTS;
    let near = all.iter().filter(|run| (**run as f64 - bar).abs() < 0.01 * bar + 4.0).count();
    assert!(near > 0, "no bar of 50 mm; runs from 40 to 60 mm: {:?}", {
        let close = all.iter().filter(|r| (40.0..60.0).contains(&(**r as f64 / DOTS)));
        close.map(|r| *r as f64 / DOTS).collect::<Vec<_>>()
    });
}
