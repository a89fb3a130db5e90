//! How far the feeding of real and of large made roofs lies above what no feeding goes below.
//!
//! The bound comes from the same route graph with room for all in lanes, holes and boxes (`wiring/optimum.rs`); what it says is in `feeding` of the
//! JSON. A part counts by the first number of the objective that differs from its bound.

use eavesdraft::catalog::Catalogue;
use eavesdraft::electrical::continuous_capacity;
use eavesdraft::job::{Job, Under, Work};
use eavesdraft::pipeline::{Project, lay_out, survey};

use crate::pipeline::plans;

/// What a set of roofs came to.
#[derive(Default)]
struct Gaps {
    parts: usize,
    proven: usize,
    small: usize,
    /// Parts with more unfed, or more boxes, than the bound.
    unfed: usize,
    boxes: usize,
    /// Lead above the bound's, as a share of it.
    lead: Vec<f64>,
    roofs: usize,
    fewest_circuits: usize,
    worst: String,
}

impl Gaps {
    fn take(&mut self, name: &str, project: &Project) {
        for part in &project.wiring.parts {
            self.parts += 1;
            if std::env::var_os("EAVESDRAFT_PARTS").is_some() && !part.proven {
                println!("{name}: {part:?}");
            }
            self.proven += usize::from(part.proven);
            self.small += usize::from(part.segments <= 24 && part.boxes_to_choose <= 8);
            self.unfed += usize::from(part.value.unfed > part.bound.unfed);
            self.boxes += usize::from(part.value.unfed == part.bound.unfed && part.value.boxes > part.bound.boxes);
            assert!(
                (part.value.unfed, part.value.boxes) >= (part.bound.unfed, part.bound.boxes),
                "{name}: a value below its bound: {part:?}"
            );
            if part.value.unfed == part.bound.unfed && part.bound.lead > 0.0 {
                let gap = part.value.lead / part.bound.lead - 1.0;
                if self.lead.iter().all(|&known| known < gap) {
                    self.worst = format!("{name}: {part:?}");
                }
                self.lead.push(gap);
            }
        }
        if project.wiring.chains.is_empty() {
            return;
        }
        self.roofs += 1;
        let amps: f64 = project.wiring.chains.iter().map(|c| c.amps).sum();
        let bound = (amps / continuous_capacity(project.job.electrical.largest_breaker) - 1e-6).ceil() as usize;
        assert!(project.wiring.circuits.len() >= bound, "{name}");
        self.fewest_circuits += usize::from(project.wiring.circuits.len() == bound);
    }

    fn say(&mut self, name: &str) {
        self.lead.sort_by(f64::total_cmp);
        let at =
            |share: f64| self.lead.get(((self.lead.len() as f64 - 1.0) * share) as usize).map_or(0.0, |g| 100.0 * g);
        println!(
            "{name}: {} parts, {} proven ({} of {} small), {} with more unfed and {} with more boxes than the bound; lead above the bound: \
             median {:.2} %, 90 of 100 {:.2} %, worst {:.2} %, over 10 % {}; circuits at the bound on {} of {} roofs",
            self.parts,
            self.proven,
            self.small,
            self.parts,
            self.unfed,
            self.boxes,
            at(0.5),
            at(0.9),
            at(1.0),
            self.lead.iter().filter(|&&g| g > 0.1).count(),
            self.fewest_circuits,
            self.roofs,
        );
        println!("  worst: {}", self.worst);
    }
}

fn of_folder(folder: &str, settle: impl Fn(&mut Job)) -> Gaps {
    let mut gaps = Gaps::default();
    for path in plans(folder, ".plan.dxf") {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.heat.valleys = true;
        job.roof.leave_open = true;
        settle(&mut job);
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let survey = survey(&std::fs::read(&path).unwrap(), &job).unwrap();
        gaps.take(&name, &lay_out(survey, job).unwrap());
    }
    gaps
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn feeding_lies_near_its_bound() {
    let mut traced = of_folder("traced_main", |_| ());
    traced.say("traced");
    let mut town = of_folder("city_main", |_| ());
    town.say("town");
    let mut old = of_folder("traced_main", |job| {
        job.roof.work.value = Work::Retrofit;
        job.roof.under.value = Under::Attic;
    });
    old.say("retrofit");
}
