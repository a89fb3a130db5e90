//! Leads of the samples and heat in gutters against numbers worked by hand.

use crate::by_hand::{near, project};
use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};
use std::path::Path;

/// `samples/hipped-l/NOTES.md`: every lead of the 24 ft eave, and the four that cross the hip, each by its own sum; none is shorter than its chord.
#[test]
fn leads_of_the_hipped_l_by_hand() {
    let project = project("hipped-l");
    let (courses, wiring) = (&project.courses, &project.wiring);
    let lead_of = |tag: &str| {
        let segment = courses.segments.iter().find(|s| s.tag == tag).unwrap();
        &wiring.leads[wiring.feed(segment.id).unwrap().lead.index()]
    };
    let below = |beside: f64| 2.4 + 4.0 + (14.4_f64 * 14.4 + beside * beside).sqrt() + 24.0 + 4.0 + 18.0;
    let by_hand = [
        3.0 + 1.0 + below(0.5625),
        jumper(7.125, 0.375),
        jumper(5.0, 0.75),
        jumper(5.0, 1.125),
        3.375 + 23.125 + below(0.1875),
        jumper(5.0, 1.5),
        jumper(5.0, 1.875),
        jumper(5.0, 2.25),
        jumper(5.0, 2.625),
    ];
    for (course, expected) in by_hand.into_iter().enumerate() {
        for half in [1, 2] {
            near(lead_of(&format!("F5-{course}-{half}")).length, expected, 1.0 / 64.0);
        }
    }
    // Off the hip along the course: 7.958 in square to it, at the sine of 48.19 degrees, the root of 5 over 3.
    let off = 6.875 + 1.625 * 2.0 / 3.0;
    let end = 0.894_427 * 73.125 + off * 3.0 / 5.0_f64.sqrt();
    near(end, 76.08, 0.005);
    let across = 2.0 * off + 24.0;
    // Leads 0.375 in apart in their lanes stand 0.375 / sin along the hip, of which the cosine lies along the course.
    let apart = 0.375 * 3.0 / 5.0_f64.sqrt();
    for (tag, [start, up, column], [wing, down], beside, place) in [
        ("F1-5-1", [3.375, 45.1875, 119.8125], [129.393, 73.3125], 0.1875, 2.0),
        ("F1-5-2", [3.375, 45.5625, 120.1875], [129.768, 73.6875], 0.5625, 3.0),
        ("F1-8-1", [3.0, 29.4375, 119.4375], [128.643, 72.5625], 0.5625, 0.0),
        ("F1-8-2", [3.0, 29.8125, 120.5625], [129.018, 72.9375], 0.1875, 1.0),
    ] {
        let own = end + (place - 1.5) * apart * 2.0 / 3.0;
        let face = start + up + (column - own);
        let other = (wing - own) + down;
        near(lead_of(tag).length, face + across + other + below(beside), 1.0 / 64.0);
    }
    assert!(wiring.leads.iter().all(|lead| lead.length >= lead.chord() && lead.chord() > 0.0));
    let hip = wiring.crossings.iter().find(|c| c.leads.len() == 4).unwrap();
    near(hip.cap_gap, 1.5 + 3.0 * apart, 1e-9);
}

fn feed(along: f64, down: f64, beside: f64) -> f64 {
    along + down + 52.4 + (14.4_f64 * 14.4 + beside * beside).sqrt()
}

fn jumper(up: f64, along: f64) -> f64 {
    up + 2.0 * along + 12.0
}

/// A jumper one course up from an end that stands elsewhere along it.
fn one(along: f64, other: f64) -> f64 {
    along + 5.0 + other + 12.0
}

/// Leads of the face with the skylight.
fn of_the_skylight_face() -> [(&'static str, f64); 22] {
    [
        ("0-1", feed(1.5, 1.0, 1.875)),
        ("1-1", jumper(7.125, 0.375)),
        ("2-1", jumper(5.0, 0.75)),
        ("3-1", jumper(5.0, 1.125)),
        ("0-2", feed(2.625, 1.0, 0.75)),
        ("1-2", jumper(7.125, 0.375)),
        ("2-2", feed(3.0, 13.125, 0.375)),
        ("3-2", jumper(5.0, 0.75)),
        ("4-2", jumper(5.0, 1.125)),
        ("5-2", jumper(5.0, 1.5)),
        ("6-2", feed(3.375, 33.125, 0.0)),
        ("7-2", jumper(5.0, 1.875)),
        ("8-2", jumper(5.0, 2.25)),
        ("4-1", feed(152.525 - 108.76, 23.125, 1.5)),
        ("5-1", one(111.0 - 108.76, 111.0 - 109.0)),
        ("6-1", one(111.37 - 109.0, 111.37 - 108.98)),
        ("7-1", one(111.75 - 108.98, 111.75 - 108.97)),
        ("8-1", one(112.12 - 108.97, 112.12 - 108.96)),
        ("9-1", feed(297.13 - 153.65, 48.125, 0.375)),
        ("10-1", one(297.13 - 290.94, 301.60 - 290.94)),
        ("11-1", one(301.60 - 299.18, 306.08 - 299.18)),
        ("12-1", one(306.08 - 303.65, 310.55 - 303.65)),
    ]
}

/// `samples/hipped-l/NOTES.md`, "Every lead of the other faces": with the 24 ft eave and the four across the hip above, all 116.
#[test]
fn leads_of_the_other_faces_of_the_hipped_l_by_hand() {
    let project = project("hipped-l");
    let mut left: std::collections::BTreeSet<&str> = project.courses.segments.iter().map(|s| s.tag.as_str()).collect();
    let mut is = |tag: &str, expected: f64| {
        let segment = project.courses.segments.iter().find(|s| s.tag == tag).unwrap();
        let lead = &project.wiring.leads[project.wiring.feed(segment.id).unwrap().lead.index()];
        assert!((lead.length - expected).abs() <= 1.0 / 64.0, "{tag}: {} is not {expected}", lead.length);
        assert!(left.remove(segment.tag.as_str()), "{tag} stands twice");
    };
    for half in [1, 2] {
        for face in ["F3", "F6"] {
            for (course, lead) in [
                (0, feed(1.875, 1.0, 1.6875)),
                (1, feed(2.25, 8.125, 1.3125)),
                (2, jumper(5.0, 0.375)),
                (3, feed(2.625, 18.125, 0.9375)),
                (4, jumper(5.0, 0.75)),
                (5, feed(3.0, 28.125, 0.5625)),
                (6, jumper(5.0, 1.125)),
                (7, feed(3.375, 38.125, 0.1875)),
                (8, jumper(5.0, 1.5)),
            ] {
                is(&format!("{face}-{course}-{half}"), lead);
            }
        }
        let hip_end = [
            (0, 7.125, 0.375),
            (1, 5.0, 0.75),
            (2, 5.0, 1.125),
            (3, 5.0, 1.5),
            (4, 5.0, 1.875),
            (6, 5.0, 2.25),
            (7, 5.0, 2.625),
        ];
        for (course, up, along) in hip_end {
            is(&format!("F1-{course}-{half}"), jumper(up, along));
        }
        for (course, lead) in [
            (0, feed(3.0, 1.0, 1.3125)),
            (1, jumper(7.125, 0.375)),
            (2, jumper(5.0, 0.75)),
            (3, feed(3.375, 18.125, 0.9375)),
            (4, jumper(5.0, 1.125)),
            (5, jumper(5.0, 1.5)),
            (6, jumper(5.0, 1.875)),
            (7, jumper(5.0, 2.25)),
            (8, jumper(5.0, 2.625)),
        ] {
            is(&format!("F2-{course}-{half}"), lead);
        }
    }
    for (piece, lead) in of_the_skylight_face() {
        is(&format!("F4-{piece}"), lead);
    }
    // The valley where the lead crosses it: one in of run for one in along, 15.083 in square to it at the sine of 48.19 degrees.
    let (run, off) = (288.0 + 0.894_427 * 83.125, 15.083 * 3.0 / 5.0_f64.sqrt());
    near(run, 362.35, 0.005);
    let beyond = 2.0 * 15.083 + 24.0 + 33.99 + 20.0 + 2.42;
    is("F2-12-1", feed(run - off - 152.90, 83.125 + beyond, 1.125));
    is("F2-11-1", one(6.90, 2.42));
    is("F2-10-1", one(6.90, 2.42));
    is("F2-9-1", one(10.85, 6.375));
    let above = left.iter().filter(|tag| !tag.starts_with("F5-")).copied().collect::<Vec<&str>>();
    assert_eq!(above, ["F1-5-1", "F1-5-2", "F1-8-1", "F1-8-2"], "only these and the 24 ft eave stand elsewhere");
}

/// By hand: the ridge of the gable is 144 in in and 161.0 in up the slope at 6 in 12; the sensor stands 12 in below its middle, 149.0 in up and 240 in along. Its
/// lead goes straight down to a lane above the elements, along it to the margin of the rake, 2 1/16 in in (read from E-401), and down it: 149.0 + 237.94 in
/// whatever the lane. Then 6.4 in over the eave, to the wall 14.4 in in and 12 in along, 24 in down past the box and 4 in up, 12 and 6 in made up.
#[test]
fn the_lead_of_the_sensor_of_the_gable() {
    let project = project("gable");
    let lead = project.wiring.sensor.as_ref().unwrap().lead.as_ref().unwrap();
    let beside: f64 = 12.0 - 2.0625;
    let roof = 144.0 * 1.25_f64.sqrt() - 12.0 + 240.0 - 2.0625;
    near(lead.length, roof + 6.4 + (14.4 * 14.4 + beside * beside).sqrt() + 28.0 + 18.0, 1.0 / 64.0);
    let feet = project.takeoff.materials.iter().find(|m| m.key == "sensor-lead").map(|m| m.quantity);
    near(feet.unwrap(), lead.length / 12.0, 1e-9);
    let retrofit = crate::by_hand::project("cross-gable-retrofit");
    assert!(
        retrofit.wiring.sensor.as_ref().unwrap().lead.is_none(),
        "nothing is led up the slope under an existing roof"
    );
}

/// By hand: two gutters of 40 ft and downspouts of 10 ft at 5 W/ft come on top of the roof's own load, in the totals and in the material list; without a
/// power the length alone.
#[test]
fn heat_in_gutters_is_in_the_totals() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable");
    let plan = std::fs::read(folder.join("plan.dxf")).unwrap();
    let laid = |watts: Option<f64>| {
        let text = std::fs::read_to_string(folder.join("job.toml")).unwrap();
        let mut job = Job::from_toml(&text, &Catalogue::sample()).unwrap().value;
        job.heat.discharge = eavesdraft::job::Setting::given(eavesdraft::job::Discharge::Gutter);
        (job.heat.gutter_heat, job.heat.gutter_watts, job.heat.downspout_length) = (true, watts, 120.0);
        let survey = survey(&plan, &job).unwrap();
        lay_out(survey, job).unwrap()
    };
    let project = laid(Some(5.0));
    let downspouts: u32 = project.zones.gutters.iter().map(|g| g.downspouts).sum();
    let feet = 80.0 + 10.0 * f64::from(downspouts);
    let load = &project.checks.load;
    near(load.gutter_length, 12.0 * feet, 1e-9);
    near(load.gutter_watts, 5.0 * feet, 1e-9);
    near(load.total_watts, load.watts + 5.0 * feet, 1e-9);
    near(load.total_amps, load.amps + 5.0 * feet / 240.0, 1e-9);
    let heater =
        |project: &Project| project.takeoff.materials.iter().find(|m| m.key == "gutter-heater").map(|m| m.quantity);
    assert_eq!(heater(&project), Some(feet));
    let silent = laid(None);
    assert_eq!((heater(&silent), silent.checks.load.gutter_watts), (Some(feet), 0.0));
}
