//! What speaks against using a calibration, in words.

use super::fit::FitReport;
use super::notice::Notice;

/// Chance from which a calibration is said to help.
const HELPS: f64 = 0.75;
/// Chance that the signs are turned from which that is said.
const PERHAPS_TURNED: f64 = 0.1;

/// What speaks against using a calibration of this log.
#[must_use]
pub fn fit_notices(report: &FitReport) -> Vec<Notice> {
    let mut notices = Vec::new();
    let mut add = |code, text: String| notices.push(Notice::new(code, text));
    let chance = (report.mirrored_chance.0 * 100.0).round();
    if report.mirrored_chance.0 >= 0.5 {
        let text = format!(
            "every sign in this log looks turned: read the other way round it fits (chance {chance} of 100). Positive is \
             tail down; --turn-signs takes the log that way"
        );
        add("signs-turned", text);
    } else if report.mirrored_chance.0 >= PERHAPS_TURNED {
        let text = format!(
            "the signs may be turned (chance {chance} of 100), and the errors count that: positive is tail down; hang one \
             of these flies again and look"
        );
        add("signs-turned", text);
    }
    if let Some(split) = &report.split {
        let groups = if split.in_order {
            format!("entries up to #{} and from #{} on", last(&split.first), first(&split.second))
        } else {
            format!("entries {} and entries {}", listed(&split.first), listed(&split.second))
        };
        let text = format!(
            "this log is mixed: {groups} contradict each other, as two rods, bags or readers do; split it, and fit each part"
        );
        add("two-groups", text);
    }
    let [misread, counted] = report.misread;
    if misread > 0 && 3 * misread >= counted {
        let text = format!("{misread} of {counted} readings look misread: what is left bears no calibration out");
        add("misread-third", text);
    }
    match &report.help {
        Some(help) if report.corrections.iter().all(|c| c.change.0 == 0.0) && help.nearer.0 == 0.5 => {
            add("tells-nothing", "these tests do not tell yet that the catalog is off: nothing is moved".to_owned());
        }
        Some(help) if help.nearer.0 < HELPS => {
            let text = format!(
                "this calibration may not help yet: a hang is nearer the truth with it in {:.0} of 100 only",
                100.0 * help.nearer.0
            );
            add("hardly-helps", text);
        }
        _ => {}
    }
    notices
}

fn first(list: &[usize]) -> usize {
    list.iter().copied().min().unwrap_or_default()
}

fn last(list: &[usize]) -> usize {
    list.iter().copied().max().unwrap_or_default()
}

fn listed(list: &[usize]) -> String {
    list.iter().map(|n| format!("#{n}")).collect::<Vec<_>>().join(", ")
}
