//! A finished layout becomes `N.json`.

use super::project_model::{
    BoxJson, ChainJson, CheckJson, CircuitJson, ColdJson, CrossingJson, KeepOutJson, LeadJson, LegJson, NailGapJson,
    ProjectJson, RelayJson, SegmentJson, SensorJson, SensorLeadJson, ZoneJson,
};
use super::roof::{Datum, drawing_json, findings_in_drawing, roofs_json};
use crate::checks::Check;
use crate::courses::Segment;
use crate::geometry::{Point2, Point3, Region};
use crate::import::SourceFrame;
use crate::index::FaceId;
use crate::pipeline::Project;
use crate::wiring::{Chain, Circuit, Crossing, JunctionBox, Lead, Leg, NailGap, RelayLane, Terminal};
use crate::zones::{FaceLayout, Interval2, KeepOut, Zone};

/// Everything laid out, in drawing coordinates.
#[must_use]
pub fn project_json(project: &Project) -> ProjectJson {
    let (survey, wiring) = (&project.survey, &project.wiring);
    let linework = &survey.linework;
    let writer = Writer { project, frame: &linework.frame };
    let sensor = wiring.sensor.as_ref();
    ProjectJson {
        job: project.job.project.number.clone(),
        drawing: drawing_json(linework),
        units: linework.frame.units,
        inches_per_unit: linework.frame.inches_per_unit,
        work: project.job.roof.work.value,
        roofs: roofs_json(linework, &survey.roof),
        zones: project.zones.zones.iter().map(|z| writer.zone(z)).collect(),
        keep_outs: writer.keep_outs(),
        melt: project.zones.melt.clone(),
        gutters: project.zones.gutters.clone(),
        segments: project.courses.segments.iter().map(|s| writer.segment(s)).collect(),
        leads: wiring.leads.iter().map(|l| writer.lead(l)).collect(),
        boxes: wiring.boxes.iter().map(|b| writer.junction_box(b)).collect(),
        feeding: wiring.parts.clone(),
        chains: wiring.chains.iter().map(chain).collect(),
        circuits: wiring.circuits.iter().map(|c| writer.circuit(c)).collect(),
        crossings: wiring.crossings.iter().map(|c| writer.crossing(c)).collect(),
        nail_gaps: wiring.nail_gaps.iter().map(|g| writer.nail_gap(g)).collect(),
        relays: wiring.relays.iter().map(|r| writer.relay(r)).collect(),
        sensor: sensor.map(|s| SensorJson {
            face: s.face,
            at: writer.drawn(s.face, s.at),
            lead: s.lead.as_ref().map(|lead| SensorLeadJson {
                junction_box: lead.junction_box,
                legs: lead.legs.iter().map(|leg| writer.leg(leg, None)).collect(),
                length: lead.length,
            }),
        }),
        cold: writer.cold(),
        load: project.checks.load,
        checks: project.checks.checks.iter().map(check).collect(),
        supplies: project.checks.supplies.clone(),
        readings: project.checks.readings.clone(),
        insulation: project.checks.insulation,
        shed: wiring.shed.clone(),
        one_line: project.checks.one_line.clone(),
        heat: project.checks.heat,
        takeoff: project.takeoff.clone(),
        season: project.season.clone(),
        measured: project.measured.clone(),
        cut_status: crate::field::cut_status(project.measured.as_ref()).to_owned(),
        record: project.record.clone(),
        findings: findings_in_drawing(&linework.frame, &project.findings),
    }
}

struct Writer<'a> {
    project: &'a Project,
    frame: &'a SourceFrame,
}

impl Writer<'_> {
    /// A working point in drawing coordinates, its z counted as that of the roof `face` belongs to.
    fn drawn(&self, face: FaceId, p: Point3) -> Point3 {
        let roof = &self.project.survey.roof;
        let unit = roof.units.iter().find(|unit| unit.id == roof.face(face).roof);
        unit.map_or(Datum::Drawing, Datum::of).to_drawing(self.frame, p)
    }

    /// A point of a developed face in drawing coordinates. Only sloping faces carry anything, and every one of them has a layout.
    fn on_face(&self, face: FaceId, uv: Point2) -> Point3 {
        let layout = self.project.zones.layout(face);
        self.drawn(face, layout.map_or(uv.at_height(0.0), |l| l.frame.to_space(uv)))
    }

    fn zone(&self, zone: &Zone) -> ZoneJson {
        let filled = self.project.courses.zones.iter().find(|z| z.zone == zone.id);
        let regions = filled.map_or(&zone.regions, |f| &f.regions);
        let rings = |region: &Region| region.rings().map(|ring| ring.points.clone()).collect();
        ZoneJson {
            id: zone.id,
            face: zone.face,
            kind: zone.kind,
            edges: zone.edges.clone(),
            polygon_uv: regions.iter().map(rings).collect(),
            required_reach: zone.required_reach,
            provided_reach: filled.map(|f| f.provided_reach),
            reach_basis: zone.reach_basis,
            reason: zone.reason,
            priority: zone.priority,
            deck_courses: filled.map(|f| f.deck_courses),
            coverage: filled.map(|f| f.coverage),
        }
    }

    fn segment(&self, segment: &Segment) -> SegmentJson {
        let feed = self.project.wiring.feed(segment.id);
        let (a_uv, b_uv) = (segment.left_end(), segment.right_end());
        let end = |uv: Point2| self.on_face(segment.face, uv);
        SegmentJson {
            id: segment.id,
            tag: segment.tag.clone(),
            face: segment.face,
            zone: segment.zone,
            run: segment.run,
            course: segment.course,
            shingle_courses: self.project.courses.rule.as_ref().and_then(|rule| rule.between(segment.course)),
            element: segment.element,
            element_key: segment.element_key.clone(),
            width: segment.width(),
            a: end(a_uv),
            b: end(b_uv),
            a_uv,
            b_uv,
            station: segment.station,
            offset: segment.offset,
            cut_length: segment.cut_length,
            installed_length: self.project.laid.as_ref().map(|laid| laid[segment.id.index()].cut_length),
            fed_end: feed.map(|f| f.fed_end),
            chain: feed.map(|f| f.chain),
            circuit: feed.map(|f| f.circuit),
            junction_box: feed.map(|f| f.junction_box),
            lead: feed.map(|f| f.lead),
        }
    }

    fn lead(&self, lead: &Lead) -> LeadJson {
        let segment_of = |end: Terminal| match end {
            Terminal::Segment(id, _) => Some(id),
            Terminal::Box(_) => None,
        };
        let box_of = |end: Terminal| match end {
            Terminal::Box(id) => Some(id),
            Terminal::Segment(..) => None,
        };
        let segment = segment_of(lead.to);
        let by_chain = || self.project.wiring.feed(segment?).map(|f| f.junction_box);
        // Legs over the wall have no face of their own; their heights are those of the roof the segment lies on.
        let home = segment.map(|s| self.project.courses.segments[s.index()].face);
        LeadJson {
            id: lead.id,
            kind: lead.kind,
            segment,
            from_segment: segment_of(lead.from),
            junction_box: box_of(lead.from).or_else(by_chain),
            legs: lead.legs.iter().map(|leg| self.leg(leg, home)).collect(),
            length: lead.length,
            chord: lead.chord(),
        }
    }

    fn leg(&self, leg: &Leg, home: Option<FaceId>) -> LegJson {
        let drawn = |p: Point3| match leg.face.or(home) {
            Some(face) => self.drawn(face, p),
            None => self.frame.to_drawing(p),
        };
        LegJson {
            place: leg.place,
            face: leg.face,
            crossing: leg.crossing,
            points: leg.points.iter().map(|&p| drawn(p)).collect(),
            length: leg.length,
            slack: leg.slack,
        }
    }

    fn junction_box(&self, b: &JunctionBox) -> BoxJson {
        BoxJson {
            id: b.id,
            tag: b.tag.clone(),
            box_key: b.box_key.clone(),
            place: b.place,
            set_by_job: b.set_by_job,
            face: b.face,
            edge: b.edge,
            exit: self.drawn(b.face, b.exit),
            at: self.drawn(b.face, b.at),
            chains: b.chains.clone(),
        }
    }

    fn circuit(&self, circuit: &Circuit) -> CircuitJson {
        let chains = &self.project.wiring.chains;
        CircuitJson {
            id: circuit.id,
            tag: circuit.tag.clone(),
            chains: circuit.chains.clone(),
            segments: circuit.chains.iter().flat_map(|c| chains[c.index()].segments.clone()).collect(),
            watts: circuit.watts,
            amps: circuit.amps,
            breaker: circuit.breaker,
            conductor_awg: circuit.conductor_awg,
            ground_awg: circuit.ground_awg,
            priority: circuit.priority,
        }
    }

    fn crossing(&self, crossing: &Crossing) -> CrossingJson {
        CrossingJson {
            id: crossing.id,
            edge: crossing.edge,
            at: self.frame.plan_to_drawing(crossing.at),
            up_valley: crossing.up_valley,
            above_bands: crossing.above_bands,
            leads: crossing.leads.clone(),
            cap_gap: Some(crossing.cap_gap).filter(|&gap| gap > 0.0),
        }
    }

    fn nail_gap(&self, gap: &NailGap) -> NailGapJson {
        NailGapJson {
            face: gap.face,
            shingle_course: gap.shingle_course,
            at: self.on_face(gap.face, gap.at),
            width: gap.width,
        }
    }

    fn keep_outs(&self) -> Vec<KeepOutJson> {
        let on_face = |layout: &FaceLayout| {
            let face = layout.face;
            let corner = |u: f64, v: f64| self.on_face(face, Point2::new(u, v));
            let json = |area: &KeepOut| KeepOutJson {
                face,
                fastener: area.fastener,
                low: corner(area.solid.u.low, area.solid.v.low),
                high: corner(area.solid.u.high, area.solid.v.high),
                why: area.why.clone(),
            };
            layout.keep_outs.iter().map(json).collect::<Vec<_>>()
        };
        self.project.zones.faces.iter().flat_map(on_face).collect()
    }

    fn relay(&self, relay: &RelayLane) -> RelayJson {
        let Interval2 { u, v } = relay.extent;
        RelayJson {
            face: relay.face,
            low: self.on_face(relay.face, Point2::new(u.low, v.low)),
            high: self.on_face(relay.face, Point2::new(u.high, v.high)),
            highest_course: relay.highest_course,
            shingles: relay.shingles,
        }
    }

    fn cold(&self) -> Vec<ColdJson> {
        let without_element = self.project.courses.cold.iter().map(|c| ColdJson {
            zone: c.zone,
            course: Some(c.course),
            along: Some([c.along.low, c.along.high]),
            segment: None,
            why: c.why.clone(),
        });
        let not_fed = self.project.wiring.unfed.iter().map(|u| ColdJson {
            zone: u.zone,
            course: None,
            along: None,
            segment: Some(u.segment),
            why: u.why.clone(),
        });
        without_element.chain(not_fed).collect()
    }
}

fn chain(chain: &Chain) -> ChainJson {
    ChainJson {
        id: chain.id,
        segments: chain.segments.clone(),
        junction_box: chain.junction_box,
        circuit: chain.circuit,
        element_length: chain.element_length,
        watts: chain.watts,
        amps: chain.amps,
        far_end_volts: chain.far_end_volts,
    }
}

fn check(check: &Check) -> CheckJson {
    CheckJson {
        code: check.code.clone(),
        item: check.item.clone(),
        rule: check.rule.clone(),
        clause: check.clause.clone(),
        source: check.source,
        verdict: check.verdict,
        value: Some(check.value).filter(|v| v.is_finite()),
        limit: check.limit.filter(|v| v.is_finite()),
        unit: check.unit.clone(),
        working: check.working.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{json_bytes, project_schema};
    use super::*;
    use crate::write::project_fixture::project;

    #[test]
    fn segments_lie_in_the_drawing_and_say_what_feeds_them() {
        let answer = project_json(&project());
        let [starter, deck] = answer.segments.as_slice() else { panic!() };
        // 1 in up the slope of 6:12 is 12/13.4164 in of plan and 6/13.4164 in of height (framing square).
        let slope = 13.416_407_864_998_739;
        let expected = Point3::new(1000.5, 2000.0 + 12.0 / slope / 12.0, 10.0 + 6.0 / slope / 12.0);
        assert!(starter.a.distance(expected) < 1e-9, "{:?}", starter.a);
        assert_eq!((starter.a_uv, starter.b_uv), (Point2::new(6.0, 1.0), Point2::new(474.0, 1.0)));
        assert!(starter.fed_end.is_some() && starter.junction_box.is_some());
        assert!(deck.fed_end.is_none() && deck.circuit.is_none());
        assert_eq!(answer.leads[0].junction_box, Some(crate::index::BoxId(0)));
        // The wall leg has no face; its points still count from the drawing's own zero: 10 ft - 24 in.
        assert_eq!(answer.leads[0].legs[0].points[1], Point3::new(1000.5, 1999.5, 8.0));
        assert_eq!(answer.circuits[0].segments, [crate::index::SegmentId(0)]);
        assert_eq!(answer.cold.len(), 2);
        assert_eq!(answer.findings[0].place.at, Some(Point2::new(1001.0, 2002.0)));
    }

    #[test]
    fn the_json_has_the_fields_of_the_design_and_no_null() {
        let bytes = json_bytes(&project_json(&project())).unwrap();
        let value: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
        assert!(!String::from_utf8(bytes).unwrap().contains("null"));
        for key in ["roofs", "zones", "segments", "leads", "boxes", "circuits", "checks", "takeoff", "findings"] {
            assert!(value.get(key).is_some(), "{key}");
        }
        for key in "id tag face course element width a b a_uv b_uv cut_length fed_end chain circuit".split_whitespace()
        {
            assert!(value["segments"][0].get(key).is_some(), "{key}");
        }
        assert_eq!(value["checks"][1].get("value"), None, "an infinite value is left out, not null");
        assert_eq!(value["leads"][0]["box"], "J1");
    }

    #[test]
    fn the_json_fits_its_schema_and_the_schema_is_the_committed_one() {
        let schema = project_schema().unwrap();
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/result.schema.json");
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::write(&path, &schema).unwrap();
        }
        let committed = std::fs::read(&path).unwrap_or_default();
        assert!(committed == schema, "samples/result.schema.json is out of date: run the tests with UPDATE_GOLDEN=1");
        let validator = jsonschema::validator_for(&serde_json::from_slice(&schema).unwrap()).unwrap();
        let answer = serde_json::from_slice(&json_bytes(&project_json(&project())).unwrap()).unwrap();
        let faults: Vec<String> = validator.iter_errors(&answer).map(|e| e.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new());
        let mut spoilt = answer;
        spoilt["segments"][0]["cut_length"] = "long".into();
        assert!(!validator.is_valid(&spoilt));
    }
}
