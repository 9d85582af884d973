//! The page: all text is text, nothing is asked for from elsewhere, each drawing has words, and colours have both grounds.

#![allow(clippy::unwrap_used, reason = "tests: a panic is a failed test")]

mod fixture;
#[path = "fixture/views.rs"]
#[allow(dead_code, reason = "one drawing is enough here")]
mod views;

use fixture::{Invented, season};
use swimdays_report::Units;
use swimdays_report::page::{Block, Chapter, Page, Table};

const EVIL: &str = "<script>alert(1)</script> \"O'Pool\" & co 🏊 بركة \u{202E}x";

fn page() -> String {
    let season = season(Invented::default());
    let mut table = Table::new(EVIL, &[EVIL, "days#"]);
    table.row([EVIL.to_owned(), EVIL.to_owned()]);
    let chapter = Chapter::new("one", EVIL)
        .text(EVIL)
        .with(Block::Lead(vec![EVIL.to_owned()]))
        .with(Block::Heading(EVIL.to_owned()))
        .with(Block::List(vec![EVIL.to_owned()]))
        .with(Block::Steps(vec![EVIL.to_owned()]))
        .with(Block::Warning {
            short: EVIL.to_owned(),
            number: EVIL.to_owned(),
            text: EVIL.to_owned(),
        })
        .with(Block::Card(table.clone()))
        .with(Block::Chart(Box::new(views::year(&season, Units::Us))))
        .table(table);
    let page = Page {
        title: EVIL.to_owned(),
        chapters: vec![
            chapter.clone(),
            Chapter {
                id: "two",
                ..chapter
            },
        ],
        block: vec![(EVIL.to_owned(), EVIL.to_owned())],
    };
    let mut bytes = Vec::new();
    page.write(&mut bytes).unwrap();
    String::from_utf8(bytes).unwrap()
}

#[test]
fn text_stays_text() {
    let html = page();
    assert!(!html.contains("<script"), "a name became a tag");
    assert!(
        html.contains(
            "&lt;script&gt;alert(1)&lt;/script&gt; &quot;O&#39;Pool&quot; &amp; co 🏊 بركة"
        )
    );
    assert!(!html.contains('\u{202E}'));
    // The title is no place for tags at all.
    let title = html.split("<title>").nth(1).unwrap();
    let title = title.split("</title>").next().unwrap();
    assert!(!title.contains('<'), "{title}");
}

#[test]
fn nothing_comes_from_elsewhere() {
    let html = page();
    for link in ["http:", "https:", "@import", "src=\"", "xlink"] {
        // The fonts' data may hold any letters but none of these.
        let found = html.matches(link).count();
        assert_eq!(found, 0, "{link}");
    }
    for url in html.split("url(").skip(1) {
        assert!(url.starts_with("data:font/woff2;base64,"));
    }
}

#[test]
fn every_colour_of_a_drawing_is_known_on_both_grounds() {
    let html = page();
    let style = html.split("</style>").next().unwrap();
    let dark = style.split("prefers-color-scheme:dark").nth(1).unwrap();
    let mut seen = 0;
    for used in html.split("=\"var(").skip(1) {
        let name = used.split(')').next().unwrap();
        assert!(style.contains(&format!("{name}:#")), "{name}");
        assert!(dark.contains(&format!("{name}:#")), "{name} on dark");
        seen += 1;
    }
    assert!(seen > 50, "{seen}");
    // No colour of a drawing is left that the ground does not change.
    assert!(!html.contains("fill=\"#") && !html.contains("stroke=\"#"));
}

#[test]
fn every_drawing_has_words() {
    let html = page();
    let drawings: Vec<&str> = html.split("<svg").skip(1).collect();
    assert_eq!(drawings.len(), 2);
    for svg in drawings {
        assert!(svg.contains("role=\"img\""));
        for tag in ["title", "desc"] {
            let words = svg.split(&format!("<{tag}>")).nth(1).unwrap();
            assert!(words.split('<').next().unwrap().len() > 10);
        }
    }
}

#[test]
fn empty_text_and_empty_tables_leave_nothing() {
    let chapter = Chapter::new("one", "One")
        .text("  ")
        .table(Table::new("none", &["a"]));
    assert!(chapter.blocks.is_empty());
}
