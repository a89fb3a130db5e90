//! The stages in order, and everything they made.

use crate::checks::Checks;
use crate::courses::{Courses, ElementRole, Segment};
use crate::electrical::local_power;
use crate::error::Result;
use crate::field::{Measured, Record};
use crate::finding::{Finding, Place, Severity};
use crate::import::Linework;
use crate::index::FaceId;
use crate::job::Job;
use crate::plan::PlanGraph;
use crate::roof::{Basis, Roof};
use crate::takeoff::Takeoff;
use crate::terms::EdgeKind;
use crate::thermal::{Control, Power, Seasons, Weather, seasons};
use crate::units::INCHES_PER_FOOT;
use crate::wiring::Wiring;
use crate::zones::Zones;

/// What reading a drawing gives, before anything is laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The drawing.
    pub linework: Linework,
    /// Its plan.
    pub plan: PlanGraph,
    /// Its roof.
    pub roof: Roof,
    /// What a person must know, in stage order.
    pub findings: Vec<Finding>,
}

/// A finished layout.
#[derive(Debug, Clone, PartialEq)]
pub struct Project {
    /// The job it was made for.
    pub job: Job,
    /// What was read.
    pub survey: Survey,
    /// Where heat goes.
    pub zones: Zones,
    /// Elements.
    pub courses: Courses,
    /// Leads, boxes and circuits.
    pub wiring: Wiring,
    /// Judgements.
    pub checks: Checks,
    /// What to order.
    pub takeoff: Takeoff,
    /// What a season costs, when there is a weather file.
    pub season: Option<Seasons>,
    /// Whether the roof was measured, and what of it differs.
    pub measured: Option<Measured>,
    /// What was recorded while it was built.
    pub record: Option<Record>,
    /// Pieces as long as they were laid, when there is a record.
    pub laid: Option<Vec<Segment>>,
    /// Findings of all stages in stage order.
    pub findings: Vec<Finding>,
}

impl<'a> From<&'a Project> for crate::sheet::Drawn<'a> {
    fn from(project: &'a Project) -> Self {
        Self {
            job: &project.job,
            roof: &project.survey.roof,
            zones: &project.zones,
            courses: &project.courses,
            wiring: &project.wiring,
            checks: &project.checks,
            takeoff: &project.takeoff,
            season: project.season.as_ref(),
            measured: project.measured.as_ref(),
            record: project.record.as_ref(),
            laid: project.laid.as_deref().unwrap_or(&project.courses.segments),
            findings: &project.findings,
        }
    }
}

impl<'a> From<&'a Survey> for crate::sheet::Surveyed<'a> {
    fn from(survey: &'a Survey) -> Self {
        Self { roof: &survey.roof }
    }
}

/// Reads a drawing: import, plan, roof.
///
/// # Errors
/// When the bytes hold no drawing, the drawing no roof, or a hint names nothing.
pub fn survey(bytes: &[u8], job: &Job) -> Result<Survey> {
    let linework = crate::import::import(bytes, &job.drawing)?;
    let plan = crate::plan::plan(&linework.value, &job.drawing)?;
    let roof = crate::roof::roof(&plan.value, &linework.value.frame, &job.roof)?;
    let findings = [linework.findings, plan.findings, roof.findings].concat();
    Ok(Survey { linework: linework.value, plan: plan.value, roof: roof.value, findings })
}

/// Lays out the heating on a surveyed roof: zones, courses, wiring, checks, takeoff.
///
/// # Errors
/// When the covering, a pitch, the nails or a box of the job allow no layout.
pub fn lay_out(survey: Survey, job: Job) -> Result<Project> {
    let frame = &survey.linework.frame;
    let zones = crate::zones::zones(&survey.roof, frame, &job)?;
    let courses = crate::courses::courses(&survey.roof, &zones.value, &job)?;
    let wiring = crate::wiring::wiring(&survey.roof, &zones.value, &courses.value, frame, &job)?;
    let checks = crate::checks::checks(&zones.value, &courses.value, &wiring.value, &job);
    let takeoff = crate::takeoff::takeoff(&courses.value, &wiring.value, &checks.value, &job);
    let findings =
        [survey.findings.clone(), zones.findings, courses.findings, wiring.findings, checks.findings].concat();
    Ok(Project {
        job,
        survey,
        zones: zones.value,
        courses: courses.value,
        wiring: wiring.value,
        checks: checks.value,
        takeoff,
        season: None,
        measured: None,
        record: None,
        laid: None,
        findings,
    })
}

/// A finished layout as the forms for the site need it.
impl<'a> From<&'a Project> for crate::field::Site<'a> {
    fn from(project: &'a Project) -> Self {
        Self {
            job: &project.job,
            frame: &project.survey.linework.frame,
            roof: &project.survey.roof,
            zones: &project.zones,
            courses: &project.courses,
            wiring: &project.wiring,
            checks: &project.checks,
            takeoff: &project.takeoff,
        }
    }
}

impl Project {
    /// Runs the control of the job through a year of weather and says what that weather lacks.
    pub fn add_season(&mut self, weather: &Weather) {
        let settings = &self.job.estimate.season;
        let control =
            Control { on_below: settings.on_below, hold_on: settings.hold_on, low_cut_out: settings.low_cut_out };
        let made = seasons(weather, &control, &self.power(), settings.tariff);
        self.findings.extend(weather_findings(&made));
        self.season = Some(made);
    }
}

/// Air for which the power of element that changes with temperature is worked out, °F: the coldest and warmest a control may run in.
const AIR: std::ops::RangeInclusive<i32> = -60..=60;

impl Project {
    /// The load, and how it changes with the air where an element's power does.
    fn power(&self) -> Power {
        let watts = self.checks.load.watts;
        let (products, electrical) = (&self.job.products, &self.job.electrical);
        let elements = [&products.starter.value, &products.deck.value];
        if elements.iter().all(|element| element.power_curve.is_empty()) {
            return Power::constant(watts);
        }
        let fed = self.wiring.feeds.iter().map(|feed| &self.courses.segments[feed.segment.index()]);
        let mut feet = [0.0; 2];
        for segment in fed {
            feet[usize::from(segment.element == ElementRole::Deck)] += segment.cut_length / INCHES_PER_FOOT;
        }
        let drawn = |fahrenheit: f64| -> f64 {
            let each = elements.iter().zip(feet);
            each.map(|(element, feet)| feet * local_power(element, electrical.volts.value, fahrenheit)).sum()
        };
        let running = drawn(electrical.running_temperature.value);
        let at = |air: i32| (f64::from(air), watts + drawn(f64::from(air)) - running);
        Power { watts, by_air: AIR.map(at).collect() }
    }
}

/// Hours in a year; a shorter file is no season.
const HOURS_IN_A_YEAR: u32 = 8760;

fn weather_findings(seasons: &Seasons) -> Vec<Finding> {
    let fitness = &seasons.fitness;
    let warn = |code, words: String, hint: &str| {
        Finding::new(Severity::Warning, code, words, Place::none()).with_hint(hint.to_owned())
    };
    let mut found = Vec::new();
    if !fitness.fit {
        found.push(warn(
            "weather-unfit",
            format!(
                "the weather file of {} has no snow depth and no weather codes: it is unfit for a season of melting, and hours and \
                 cost from it are far too low",
                seasons.place
            ),
            "use a file that carries snow depth or present weather",
        ));
    }
    if fitness.rows < HOURS_IN_A_YEAR || fitness.without_temperature > 0 {
        found.push(warn(
            "weather-gaps",
            format!(
                "the weather file has {} hours, {} of them without a temperature: those count as off",
                fitness.rows, fitness.without_temperature
            ),
            "use a file of a whole year, or read the hours as a lower bound",
        ));
    }
    found
}

/// Faces the layout cannot rest on: an edge of theirs is ambiguous, so heat on them, or the foot of their water, is unknown.
#[must_use]
pub fn open_faces(roof: &Roof) -> Vec<FaceId> {
    let mut faces: Vec<FaceId> = roof
        .edges
        .iter()
        .filter(|edge| edge.basis == Basis::Ambiguous || edge.kind == EdgeKind::Unknown)
        .flat_map(|edge| roof.sides(edge.id))
        .collect();
    faces.sort_unstable();
    faces.dedup();
    faces
}
