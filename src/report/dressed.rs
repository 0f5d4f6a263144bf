//! One base under each of several dressings: what it does under each of them, and how long its foam is left.
//!
//! The base is the same under all: hook, bead, wire, foam of one length as written. Where foam is trimmed in the jar, each
//! dressing has its own start length and stop reading, since it turns the fly its own way; foam can be cut at any time, so
//! bases are tied with the longest start length and cut to that of the dressing that goes on.

use super::ReportError;
use super::column::{Column, column, columns_table};
use super::figure::Figure;
use super::recipe::{ChanceReport, DressedFoam, DressedReport, RecipeReport};
use super::sheet::Sheet;
use super::table::{Spacing, bullets, checks_cell, does, sinks_cell, sinks_head};
use super::words::hang_words;
use crate::assess::predict;
use crate::fly::{Fly, FoamPiece};
use crate::quantity::shown::{MASS, SIZE};
use crate::quantity::{Length, Microns};
use crate::spread::shares::Shares;
use crate::spread::trimming::Trimming;
use crate::wanted::Target;

impl RecipeReport {
    /// With what its base does under each dressing that a target asks; nothing where it asks for one. `shares`: those of a fly,
    /// where they are wanted.
    #[must_use]
    pub fn under_each(
        mut self,
        fly: &Fly,
        target: &Target,
        currency: &str,
        shares: Option<&dyn Fn(&Fly) -> Shares>,
    ) -> Self {
        let mut first = None;
        for dressing in &target.choice.each {
            let fly = Fly { dressing, ..*fly };
            let report = Self::judged(&fly, target, currency).ranked(self.rank);
            let report = match shares {
                Some(shares) => report.with_shares_asked(&shares(&fly), target),
                None => report,
            };
            self = self.noting(&report.limits);
            let foam = trimmed(&fly, target, &report, &mut first);
            self.dressings.push(DressedReport { pattern: dressing.row.id.clone(), foam, fly: report });
        }
        self
    }
}

/// How the foam of a fly is trimmed, where its report counts it as trimmed; `first`: the length of the first that is.
fn trimmed(fly: &Fly, target: &Target, report: &RecipeReport, first: &mut Option<f64>) -> Option<DressedFoam> {
    report.chance.as_ref().filter(|chance| chance.counted == "trimmed")?;
    let trimming = Trimming::for_target(fly, target)?;
    let as_first = *first.get_or_insert(trimming.aim);
    let of_length = |metres: f64| {
        let length = Microns::from_length(Length::from_m(metres)).ok()?;
        let fly = Fly { foam: fly.foam.map(|piece| FoamPiece { length, ..piece }), ..*fly };
        predict(&fly, &target.conditions).hang.rest().map(|rest| Figure(rest.angle.to_degrees()))
    };
    Some(DressedFoam {
        start_mm: trimming.start.mm(),
        trimmed_mm: Figure(trimming.aim * 1e3),
        hang_as_first_deg: of_length(as_first),
    })
}

/// The recipes as they are listed one by one: under each dressing where several were asked.
pub fn each_dressed(list: &[RecipeReport]) -> impl Iterator<Item = (&RecipeReport, Option<&DressedReport>)> {
    list.iter().flat_map(|report| {
        let alone = report.dressings.is_empty().then_some((report, None));
        alone.into_iter().chain(report.dressings.iter().map(|dressed| (&dressed.fly, Some(dressed))))
    })
}

/// The least share of flies that come out right over all dressings; `None` where nobody asked.
#[must_use]
pub fn least_share(report: &RecipeReport) -> Option<f64> {
    let shares = report.dressings.iter().filter_map(|dressed| dressed.fly.chance.as_ref().map(ChanceReport::share));
    shares.reduce(f64::min)
}

/// "slim-nymph: 90 of 100 come out right when trimmed, 31 as tied; hangs ...; foam from 18 mm to about 15.5 mm".
#[must_use]
pub fn told_under(dressed: &DressedReport) -> String {
    let fly = &dressed.fly;
    let right = fly.chance.as_ref().map_or_else(String::new, |chance| format!("{}; ", chance.told()));
    let foam = dressed.foam.as_ref().map_or_else(String::new, |foam| {
        let (start, end) = (SIZE.text(foam.start_mm, 1), SIZE.text(foam.trimmed_mm.0, 1));
        format!("; foam from {start}, trimmed to about {end}")
    });
    let missed: Vec<&str> = fly.missed().map(|check| check.requirement).collect();
    let missed = if missed.is_empty() { String::new() } else { format!("; misses {}", missed.join(", ")) };
    format!("{}: {right}{}{foam}; {} {}{missed}", dressed.pattern, does(fly), fly.cost.per_fly, fly.cost.currency)
}

/// Writes what each base of a list does under each dressing.
///
/// # Errors
/// The stream refuses.
pub fn dressings_table(out: &mut Sheet, list: &[RecipeReport]) -> Result<(), ReportError> {
    let rows: Vec<&DressedReport> = list.iter().flat_map(|report| &report.dressings).collect();
    let Some(first) = rows.first() else { return Ok(()) };
    let foam = |dressed: &DressedReport, of: fn(&DressedFoam) -> f64| {
        dressed.foam.as_ref().map_or_else(String::new, |foam| SIZE.short(of(foam), 1))
    };
    let hang = |fly: &RecipeReport| match (fly.hang.angle_deg, fly.hang.rides) {
        (Some(angle), Some(rides)) => format!("{}\n{rides}", hang_words(angle.0)),
        _ => "floats".to_owned(),
    };
    let as_first = |dressed: &DressedReport| {
        let angle = dressed.foam.as_ref().and_then(|foam| foam.hang_as_first_deg);
        angle.map_or_else(String::new, |angle| hang_words(angle.0))
    };
    let fixed: Vec<Column<&DressedReport>> = vec![
        column("#", |d: &&DressedReport| d.fly.rank.to_string()),
        column("dressing", |d: &&DressedReport| d.pattern.clone()),
        column("hangs", move |d: &&DressedReport| hang(&d.fly)),
        column("chance", |d: &&DressedReport| d.fly.chance.as_ref().map_or_else(String::new, ChanceReport::words)),
        column(sinks_head(std::slice::from_ref(&first.fly)), |d: &&DressedReport| sinks_cell(&d.fly)),
        column(format!("foam\nfrom\n{}", SIZE.unit()), move |d: &&DressedReport| foam(d, |f| f.start_mm)),
        column("to\nabout", move |d: &&DressedReport| foam(d, |f| f.trimmed_mm.0)),
        column("trimmed as\nthe first", move |d: &&DressedReport| as_first(d)),
        column(format!("mass\n{}", MASS.unit()), |d: &&DressedReport| MASS.fixed(d.fly.totals.mass_mg.0, 0)),
        column(format!("cost\n{}", first.fly.cost.currency), |d: &&DressedReport| d.fly.cost.per_fly.to_string()),
    ];
    writeln!(out, "\nthe same base under each dressing")?;
    columns_table(out, &fixed, 3, Spacing::Apart, &rows)?;
    writeln!(out, "\nwhat is asked, as each dressing has it")?;
    bullets(out, rows.iter().map(|d| format!("{} {}: {}", d.fly.rank, d.pattern, checks_cell(&d.fly))))
}
