//! What to measure on the roof before anything is cut, with the drawn values.

use super::Site;
use crate::index::{EdgeId, FaceId};
use crate::job::{Setting, Target, Under, ValleyType};
use crate::roof::Basis;
use crate::terms::EdgeKind;
use crate::units::{feet_inches, pitch_in_12};
use std::collections::BTreeSet;

/// What is measured of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Length of an eave.
    EaveLength,
    /// Level distance from the drip edge to the exterior wall line.
    Overhang,
    /// Length of a rake on the slope.
    RakeLength,
    /// Pitch of a face.
    Pitch,
    /// Course spacing at the left end of a face.
    ExposureLeft,
    /// Course spacing at its right end.
    ExposureRight,
    /// Left side of an opening from the control line.
    OpeningLeft,
    /// Lower edge of an opening up the slope from the eave.
    OpeningLow,
    /// Width of an opening.
    OpeningWidth,
    /// Height of an opening on the slope.
    OpeningHeight,
    /// How a valley is covered.
    ValleyType,
    /// What lies under the deck of a face.
    Access,
}

impl What {
    /// Its words on the form.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::EaveLength => "eave length",
            Self::Overhang => "overhang, drip edge to wall, level",
            Self::RakeLength => "rake length on the slope",
            Self::Pitch => "pitch",
            Self::ExposureLeft => "exposure at the left end",
            Self::ExposureRight => "exposure at the right end",
            Self::OpeningLeft => "opening: left side from the control line",
            Self::OpeningLow => "opening: lower edge up the slope from the eave",
            Self::OpeningWidth => "opening: width",
            Self::OpeningHeight => "opening: height on the slope",
            Self::ValleyType => "valley type",
            Self::Access => "attic access under the deck",
        }
    }
}

/// A drawn value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drawn {
    /// A length in inches.
    Inches(f64),
    /// A pitch, rise per run.
    Pitch(f64),
    /// How a valley is covered.
    Valley(ValleyType),
    /// What lies under a deck.
    Under(Under),
}

impl Drawn {
    /// As printed.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Inches(inches) => feet_inches(inches),
            Self::Pitch(pitch) => pitch_in_12(pitch),
            Self::Valley(kind) => valley_words(kind).to_owned(),
            Self::Under(under) => under_words(under).to_owned(),
        }
    }
}

pub(super) const fn valley_words(kind: ValleyType) -> &'static str {
    match kind {
        ValleyType::OpenMetal => "open metal",
        ValleyType::ClosedCut => "closed-cut",
        ValleyType::Woven => "woven",
        ValleyType::Unknown => "unknown",
    }
}

pub(super) const fn under_words(under: Under) -> &'static str {
    match under {
        Under::Attic => "reachable attic",
        Under::Soffit => "soffit only",
        Under::Cathedral => "cathedral ceiling",
        Under::Conditioned => "rooms",
        Under::Unknown => "unknown",
    }
}

/// One thing to measure.
#[derive(Debug, Clone, PartialEq)]
pub struct FormRow {
    /// The edge, the face, or the opening on a face.
    pub item: String,
    /// What of it.
    pub what: What,
    /// As drawn.
    pub drawn: Drawn,
    /// How that is known: drawn, set, solved, assumed, open.
    pub basis: &'static str,
}

/// Everything to measure on the heated faces, or on every face when none is heated: lengths of eaves and rakes, overhang at
/// each eave, pitch, exposure at both ends, openings, valley types, attic access.
#[must_use]
pub fn form(site: &Site) -> Vec<FormRow> {
    let heated: BTreeSet<FaceId> = site.zones.zones.iter().map(|z| z.face).collect();
    let faces = if heated.is_empty() { site.roof.faces.iter().map(|f| f.id).collect() } else { heated };
    let form = Form { site, faces };
    [form.edges(), form.faces(), form.exposures(), form.openings(), form.valleys(), form.access()].concat()
}

struct Form<'a> {
    site: &'a Site<'a>,
    faces: BTreeSet<FaceId>,
}

fn basis_words(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "drawn",
        Basis::Set => "set",
        Basis::Solved => "solved",
        Basis::Assumed => "assumed",
        Basis::Ambiguous => "open",
    }
}

fn setting_words<T>(setting: &Setting<T>) -> &'static str {
    if setting.given { "set" } else { "assumed" }
}

impl Form<'_> {
    /// Edges of one kind at the faces of the form.
    fn edges_of(&self, kind: EdgeKind) -> impl Iterator<Item = EdgeId> {
        let roof = self.site.roof;
        roof.edges
            .iter()
            .filter(move |e| e.kind == kind && roof.sides(e.id).any(|f| self.faces.contains(&f)))
            .map(|e| e.id)
    }

    fn edges(&self) -> Vec<FormRow> {
        let length = |edge: EdgeId, what| FormRow {
            item: edge.to_string(),
            what,
            drawn: Drawn::Inches(self.site.roof.slope_length(edge)),
            basis: "drawn",
        };
        let mut rows = Vec::new();
        for edge in self.edges_of(EdgeKind::Eave) {
            rows.push(length(edge, What::EaveLength));
            let (overhang, basis) = self.overhang(edge);
            let drawn = Drawn::Inches(overhang);
            rows.push(FormRow { item: edge.to_string(), what: What::Overhang, drawn, basis });
        }
        rows.extend(self.edges_of(EdgeKind::Rake).map(|edge| length(edge, What::RakeLength)));
        rows
    }

    fn overhang(&self, edge: EdgeId) -> (f64, &'static str) {
        let settings = &self.site.job.roof;
        let known = self.site.zones.overhang(edge);
        known.map_or((settings.overhang.value, setting_words(&settings.overhang)), |o| (o.inches, basis_words(o.basis)))
    }

    fn faces(&self) -> Vec<FormRow> {
        self.faces
            .iter()
            .map(|&id| {
                let face = self.site.roof.face(id);
                let basis = basis_words(face.pitch_basis);
                FormRow { item: id.to_string(), what: What::Pitch, drawn: Drawn::Pitch(face.pitch), basis }
            })
            .collect()
    }

    fn exposures(&self) -> Vec<FormRow> {
        let Some(rule) = &self.site.courses.rule else { return Vec::new() };
        let basis = setting_words(&self.site.job.products.shingle);
        let drawn = Drawn::Inches(rule.exposure);
        let row = |face: &FaceId, what| FormRow { item: face.to_string(), what, drawn, basis };
        let both = |face| [row(face, What::ExposureLeft), row(face, What::ExposureRight)];
        self.faces.iter().flat_map(both).collect()
    }

    fn openings(&self) -> Vec<FormRow> {
        let mut rows = Vec::new();
        for layout in self.site.zones.faces.iter().filter(|l| self.faces.contains(&l.face)) {
            for opening in &layout.openings {
                let Some(bounds) = opening.outline.exterior.bounds() else { continue };
                let item = format!("{} on {}", opening.opening, layout.face);
                for (what, inches) in [
                    (What::OpeningLeft, bounds.min.x),
                    (What::OpeningLow, bounds.min.y),
                    (What::OpeningWidth, bounds.width()),
                    (What::OpeningHeight, bounds.height()),
                ] {
                    rows.push(FormRow { item: item.clone(), what, drawn: Drawn::Inches(inches), basis: "drawn" });
                }
            }
        }
        rows
    }

    fn valleys(&self) -> Vec<FormRow> {
        let general = &self.site.job.roof.valley_type;
        let row = |edge: EdgeId| {
            let own = self.site.zones.valley(edge).map_or((general.value, general.given), |v| (v.kind, v.given));
            FormRow {
                item: edge.to_string(),
                what: What::ValleyType,
                drawn: Drawn::Valley(own.0),
                basis: if own.1 { "set" } else { "assumed" },
            }
        };
        self.edges_of(EdgeKind::Valley).map(row).collect()
    }

    fn access(&self) -> Vec<FormRow> {
        self.faces
            .iter()
            .map(|&face| {
                let (under, basis) = self.under(face);
                FormRow { item: face.to_string(), what: What::Access, drawn: Drawn::Under(under), basis }
            })
            .collect()
    }

    fn under(&self, face: FaceId) -> (Under, &'static str) {
        let settings = &self.site.job.roof;
        let (roof, frame) = (self.site.roof, self.site.frame);
        let about = |target: &Target| match target {
            Target::Tag(tag) => *tag == face.to_string(),
            Target::Near(at) => roof.region(face).contains(frame.to_working(at.at_height(frame.origin.z)).plan()),
        };
        // Of several hints the last one counts, as in the wiring.
        let hinted = settings.faces.iter().rev().filter(|hint| about(&hint.target)).find_map(|hint| hint.under);
        hinted.map_or((settings.under.value, setting_words(&settings.under)), |under| (under, "set"))
    }
}
