//! The sentences of a comparison follow the numbers: made-up shares in every order, and what is read.

use swimdays_report::Units;
use swimdays_report::compare::{anyone, makes_the_season, what_first};
use swimdays_studies::compare::{Costs, Estimate, Gift, Step};

/// A made-up range of `spread` days either way.
fn about(value: f64, spread: f64) -> Estimate {
    Estimate {
        value,
        low: value - spread,
        high: value + spread,
    }
}

/// A part of that share; alone and last as much, so that the shares are the whole game.
fn part(bit: usize, name: &str, share: Estimate) -> Gift {
    Gift {
        name: name.into(),
        bit: Some(bit),
        days_alone: share,
        days_last: share,
        days_fair_share: Some(share),
        too_hot_last: 0,
        heat_alone_kwh: about(0.0, 0.0),
        heat_last_kwh: about(0.0, 0.0),
        heat_fair_share_kwh: None,
        costs: Costs::default(),
    }
}

/// Parts in the order given, done in the order of their days.
fn told(parts: &[(&str, Estimate)], lead: Option<Estimate>) -> (String, String) {
    let gifts: Vec<Gift> = parts
        .iter()
        .enumerate()
        .map(|(bit, (name, share))| part(bit, name, *share))
        .collect();
    let sum = |f: fn(&Estimate) -> f64| parts.iter().map(|p| f(&p.1)).sum();
    let together = Estimate {
        value: sum(|e| e.value),
        low: sum(|e| e.low),
        high: sum(|e| e.high),
    };
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| parts[*b].1.value.total_cmp(&parts[*a].1.value));
    let steps: Vec<Step> = order
        .into_iter()
        .map(|gift| Step {
            gift,
            gain: parts[gift].1,
        })
        .collect();
    (
        plain(&makes_the_season(&gifts, &together, lead.as_ref())),
        plain(&what_first(&gifts, &steps, None, "$")),
    )
}

/// Spaces that keep words together, as they look.
fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

fn orders<T: Clone>(items: &[T]) -> Vec<Vec<T>> {
    if items.len() < 2 {
        return vec![items.to_vec()];
    }
    (0..items.len())
        .flat_map(|at| {
            let mut rest = items.to_vec();
            let first = rest.remove(at);
            orders(&rest).into_iter().map(move |mut order| {
                order.insert(0, first.clone());
                order
            })
        })
        .collect()
}

#[test]
fn who_gives_most_is_named_first_in_whatever_order_it_stands() {
    // Each name once with the most, the middle and the least: the words follow the days, not the names or their places.
    for names in orders(&["cover", "board", "deck"]) {
        let shares = [
            (names[0], about(60.0, 5.0)),
            (names[1], about(12.0, 3.0)),
            (names[2], about(1.0, 2.0)),
        ];
        for parts in orders(&shares) {
            let (makes, first) = told(&parts, Some(about(48.0, 6.0)));
            let start = format!(
                "The {}, not the {} or the {}, makes the season: of the 73 days {} 60 (55–65), {} 12 (9–15), {} 1 (−1 to 3, unclear).",
                names[0], names[1], names[2], names[0], names[1], names[2]
            );
            assert_eq!(makes, start);
            let next = format!(
                "First the {}: 60 days (55–65); then the {}: 12 days more (9–15). Not worth it beside that: the {} (1 day, −1 to 3), no clear difference.",
                names[0], names[1], names[2]
            );
            assert_eq!(first, next);
        }
    }
}

#[test]
fn a_small_lead_is_not_sold_as_one() {
    for parts in orders(&[("cover", about(30.0, 8.0)), ("board", about(26.0, 8.0))]) {
        let (makes, _) = told(&parts, Some(about(4.0, 9.0)));
        assert!(
            makes.starts_with(
                "The cover and the board share the season, no clear difference: of the 56 days"
            ),
            "{makes}"
        );
        // The same days with a lead that is clear.
        let (makes, _) = told(&parts, Some(about(4.0, 2.0)));
        assert!(
            makes.starts_with("The cover gives most: of the 56 days cover 30"),
            "{makes}"
        );
    }
}

#[test]
fn what_brings_nothing_or_costs_days_is_said_so() {
    let (makes, first) = told(
        &[("cover", about(1.0, 4.0)), ("board", about(0.0, 2.0))],
        None,
    );
    assert_eq!(
        makes,
        "All of it together brings no clear gain over the bare pool: 1 day (−5 to 7)."
    );
    assert!(
        first.starts_with("Not worth it for swim days: the cover (1 day, −3 to 5) and the board"),
        "{first}"
    );
    let (makes, first) = told(&[("cover", about(-9.0, 3.0))], None);
    assert_eq!(
        makes,
        "All of it together loses 9 days against the bare pool (−12 to −6)."
    );
    assert!(
        first.contains("Leave out the cover (−9 days, −12 to −6): it costs swim days."),
        "{first}"
    );
    let (makes, _) = told(&[], None);
    assert!(
        makes.starts_with("Nothing stands beside the bare pool"),
        "{makes}"
    );
    let (makes, _) = told(&[("boards", about(40.0, 4.0))], None);
    assert_eq!(makes, "The boards alone bring the 40 days more (36–44).");
}

#[test]
fn days_too_hot_and_costs_stand_beside_the_days() {
    let mut cover = part(0, "cover", about(20.0, 2.0));
    cover.too_hot_last = 12;
    // By hand: 100 a year over 20 days.
    cover.costs = Costs {
        build: Some(400.0),
        build_per_year: Some(100.0),
        running_per_year: Some(0.0),
        missing: Vec::new(),
    };
    let step = Step {
        gift: 0,
        gain: cover.days_alone,
    };
    let said = plain(&what_first(
        std::slice::from_ref(&cover),
        std::slice::from_ref(&step),
        None,
        "$",
    ));
    assert_eq!(
        said,
        "First the cover: 20 days (18–22), $5.00 a day. Too hot, and not counted, with the cover 12 days."
    );
    cover.too_hot_last = 0;
    cover.costs = Costs {
        missing: vec!["pool.cover.cost".into()],
        ..Costs::default()
    };
    let said = plain(&what_first(&[cover], &[step], None, "$"));
    assert_eq!(said, "First the cover: 20 days (18–22), cost not given.");
}

/// Four coils of which none is clear by itself, and all together are.
#[test]
fn parts_that_only_together_bring_days_are_told_together() {
    let gifts: Vec<Gift> = ["coil-1", "coil-2"]
        .iter()
        .enumerate()
        .map(|(bit, name)| part(bit, name, about(2.0, 3.0)))
        .collect();
    let steps: Vec<Step> = (0..2)
        .map(|gift| Step {
            gift,
            gain: about(2.0, 3.0),
        })
        .collect();
    let rest = about(4.0, 3.0);
    assert_eq!(
        plain(&what_first(&gifts, &steps, Some(&rest), "$")),
        "Only together coil-1 and coil-2 bring 4 days (1–7), none of them clearly by itself."
    );
}

#[test]
fn what_anyone_can_do_is_told_with_its_doubt() {
    let mut wind = part(0, "windbreak", about(6.0, 2.0));
    wind.bit = None;
    let mut cool = part(0, "1 °C cooler", about(1.0, 2.0));
    cool.bit = None;
    assert_eq!(
        plain(&anyone(&[wind, cool], Units::Us)),
        "Without building a heater, days added to the plan: windbreak +6 (4–8); 1.8 °F cooler no clear difference (−1 to 3)."
    );
}
