//! Records become a compact drawing: header, layers, blocks and entities, blocks unexpanded.

use super::entity::{Entity, Shape};
use super::group::{Decimals, writes_commas};
use super::ledger::Ledger;
use super::model::EntityCount;
use super::polyline::Gathering;
use super::record::{Read, Record, Records, Refusal};
use super::text::Decoder;
use crate::error::{Error, Result};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point3, Vector3};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// What the header says, as far as this program asks.
#[derive(Debug, Default)]
pub(super) struct Header {
    /// `$ACADVER`.
    pub version: Option<String>,
    /// `$INSUNITS`.
    pub units: Option<i64>,
    /// `$MEASUREMENT`: 0 English, 1 metric.
    pub measurement: Option<i64>,
    /// `$LUNITS`: 3 engineering and 4 architectural write feet and inches, so the unit is the inch.
    pub length_format: Option<i64>,
    /// `$DWGCODEPAGE`.
    pub code_page: Option<String>,
}

/// One layer.
#[derive(Debug)]
pub(super) struct Layer {
    /// Name as in the file, decoded.
    pub name: String,
    /// Turned off.
    pub off: bool,
    /// Frozen.
    pub frozen: bool,
}

/// One block.
#[derive(Debug)]
pub(super) struct Block<'a> {
    /// Name as in the file.
    pub name: &'a [u8],
    /// The point that an insert puts at its own point.
    pub base: Point3,
    /// Its entities in `Drawing::entities`.
    pub entities: Range<usize>,
}

/// A drawing with blocks unexpanded.
#[derive(Debug)]
pub(super) struct Drawing<'a> {
    /// Bytes of the file, to which all work is kept in proportion.
    pub size: usize,
    /// The header.
    pub header: Header,
    /// How names and texts are written.
    pub decoder: Decoder,
    /// Layers in order of first mention.
    pub layers: Vec<Layer>,
    /// Blocks in file order.
    pub blocks: Vec<Block<'a>>,
    /// Block by name in capitals.
    pub block_names: BTreeMap<Vec<u8>, usize>,
    /// All entities, those of each block and of model space together.
    pub entities: Vec<Entity<'a>>,
    /// The entities of the ENTITIES section.
    pub model: Vec<Range<usize>>,
    /// Entities that were refused while reading, and how many of each kind.
    pub refused: BTreeMap<String, EntityCount>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Tables,
    Blocks,
    Entities,
    Other,
}

/// What is being read.
struct Reading<'a, 'l> {
    drawing: Drawing<'a>,
    ledger: &'l mut Ledger,
    section: Section,
    /// Raw layer names with their positions.
    layer_names: BTreeMap<Cow<'a, [u8]>, u32>,
    /// The layer asked for last, as written: entities of one layer mostly stand together.
    last_layer: (&'a [u8], u32),
    /// Raw layers, decoded at the end.
    raw_layers: Vec<(&'a [u8], bool, bool)>,
    /// Name, base and first entity of the block being read.
    block: Option<(&'a [u8], Point3, usize)>,
    /// The POLYLINE whose vertices are being read.
    polyline: Option<Gathering<'a>>,
    sections: usize,
}

/// Reads a whole file.
///
/// A file with commas in all its decimals is read a second time with them as points.
///
/// # Errors
/// When the groups cannot be read on, or when the file ends before one entity is complete.
pub(super) fn read<'a>(bytes: &'a [u8], ledger: &mut Ledger) -> Result<Drawing<'a>> {
    let mut trial = Ledger::default();
    let drawing = read_as(bytes, Decimals::Points, &mut trial);
    if trial.has("bad-number") && writes_commas(bytes) {
        let words = "the file writes decimals with commas; they were read as decimal points";
        ledger.add(Finding::new(Severity::Repaired, "decimal-comma", words, Place::none()));
        return read_as(bytes, Decimals::Commas, ledger);
    }
    ledger.append(trial);
    drawing
}

fn read_as<'a>(bytes: &'a [u8], decimals: Decimals, ledger: &mut Ledger) -> Result<Drawing<'a>> {
    let mut records = Records::new(bytes, decimals);
    let mut reading = Reading::new(ledger);
    let mut record = Record::empty();
    let mut complete = false;
    let mut last_line = 0;
    while records.read(&mut record)? {
        last_line = record.line;
        if record.name == b"EOF" {
            complete = true;
            break;
        }
        reading.note_damage(&record);
        reading.record(&record);
    }
    reading.finish_polyline();
    reading.finish_block();
    if reading.sections == 0 {
        return Err(Error::unreadable("not-dxf", "the file holds no DXF section")
            .with_hint("save the drawing as ASCII DXF, R2000 or later"));
    }
    if !complete {
        if reading.drawing.entities.is_empty() && reading.drawing.refused.is_empty() {
            let words = "the file ends early, before a single entity is complete";
            return Err(Error::unreadable("truncated", words)
                .at(Place::line(last_line))
                .with_hint("copy or save the file again"));
        }
        let words = "the file ends without its end mark; everything before its last record was read";
        let finding = Finding::new(Severity::Warning, "truncated", words, Place::line(last_line));
        reading.ledger.add(finding.with_hint("part of the drawing may be missing; copy or save the file again"));
    }
    Ok(reading.finish(bytes))
}

impl<'a, 'l> Reading<'a, 'l> {
    fn new(ledger: &'l mut Ledger) -> Self {
        let drawing = Drawing {
            size: 0,
            header: Header::default(),
            decoder: Decoder::default(),
            layers: Vec::new(),
            blocks: Vec::new(),
            block_names: BTreeMap::new(),
            entities: Vec::new(),
            model: Vec::new(),
            refused: BTreeMap::new(),
        };
        Self {
            drawing,
            ledger,
            section: Section::Other,
            layer_names: BTreeMap::new(),
            last_layer: (b"", u32::MAX),
            raw_layers: Vec::new(),
            block: None,
            polyline: None,
            sections: 0,
        }
    }

    /// Damage in a record that is no entity costs what it says of the whole drawing.
    fn note_damage(&mut self, record: &Record<'a>) {
        if record.damage.is_none() {
            return;
        }
        let entity = matches!(self.section, Section::Blocks | Section::Entities)
            && !matches!(record.name, b"SECTION" | b"ENDSEC" | b"BLOCK" | b"ENDBLK" | b"SEQEND");
        if let Some(refusal) = record.damage_refusal().filter(|_| !entity) {
            self.ledger.refusal(&refusal, &plain(record.name), Place::line(refusal.line.unwrap_or(record.line)));
        }
    }

    fn record(&mut self, record: &Record<'a>) {
        match (record.name, self.section) {
            (b"SECTION", _) => self.start_section(record),
            (b"ENDSEC", _) => {
                self.finish_polyline();
                self.finish_block();
                self.section = Section::Other;
            }
            (b"LAYER", Section::Tables) => self.layer_record(record),
            (b"BLOCK", Section::Blocks) => {
                self.finish_polyline();
                self.finish_block();
                let base = record.point_if_any(10).unwrap_or_else(|refusal| {
                    self.ledger.refusal(&refusal, "BLOCK", Place::line(record.line));
                    None
                });
                let name = record.text(2).unwrap_or(b"").trim_ascii();
                self.block = Some((name, base.unwrap_or_default(), self.drawing.entities.len()));
                self.external(record, name);
            }
            (b"ENDBLK", Section::Blocks) => {
                self.finish_polyline();
                self.finish_block();
            }
            (_, Section::Blocks | Section::Entities) => self.entity(record),
            _ => {}
        }
    }

    fn start_section(&mut self, record: &Record<'a>) {
        self.finish_polyline();
        self.finish_block();
        self.sections += 1;
        self.section = match record.text(2).map(<[u8]>::trim_ascii) {
            Some(b"TABLES") => Section::Tables,
            Some(b"BLOCKS") => Section::Blocks,
            Some(b"ENTITIES") => Section::Entities,
            _ => Section::Other,
        };
        if self.section == Section::Entities {
            let start = self.drawing.entities.len();
            self.drawing.model.push(start..start);
        }
        let mut variable: &[u8] = b"";
        for group in &record.groups {
            let header = &mut self.drawing.header;
            match (group.code, variable) {
                (9, _) => variable = group.bytes().trim_ascii(),
                (1, b"$ACADVER") => header.version = Some(plain(group.bytes())),
                (3, b"$DWGCODEPAGE") => header.code_page = Some(plain(group.bytes())),
                (70, b"$INSUNITS") => header.units = group.whole(),
                (70, b"$MEASUREMENT") => header.measurement = group.whole(),
                (70, b"$LUNITS") => header.length_format = group.whole(),
                _ => {}
            }
        }
    }

    fn external(&mut self, record: &Record<'a>, name: &[u8]) {
        if record.whole_or(70, 0).unwrap_or(0) & 4 != 0 {
            let path = record.text(1).map(plain).unwrap_or_default();
            let words = format!(
                "block {} is a reference to another drawing ({path}) that this file does not hold",
                plain(name)
            );
            let finding = Finding::new(Severity::Warning, "external-reference", words, Place::line(record.line));
            self.ledger.add(finding.with_hint("bind the reference before saving the DXF if the roof is drawn in it"));
        }
    }

    fn layer_record(&mut self, record: &Record<'a>) {
        let Some(name) = record.text(2) else { return };
        let position = self.layer(name) as usize;
        self.raw_layers[position].1 = record.whole_or(62, 7).unwrap_or(7) < 0;
        self.raw_layers[position].2 = record.whole_or(70, 0).unwrap_or(0) & 1 != 0;
    }

    /// The position of a layer; names that differ only in capitals are one layer.
    fn layer(&mut self, name: &'a [u8]) -> u32 {
        let name = name.trim_ascii();
        if self.last_layer == (name, self.last_layer.1) && self.last_layer.1 != u32::MAX {
            return self.last_layer.1;
        }
        let small = name.iter().any(u8::is_ascii_lowercase);
        let key = if small { Cow::Owned(name.to_ascii_uppercase()) } else { Cow::Borrowed(name) };
        let position = *self.layer_names.entry(key).or_insert_with(|| {
            self.raw_layers.push((name, false, false));
            (self.raw_layers.len() - 1) as u32
        });
        self.last_layer = (name, position);
        position
    }

    fn entity(&mut self, record: &Record<'a>) {
        match record.name {
            b"VERTEX" if self.polyline.is_some() => {
                if let Some(gathering) = &mut self.polyline {
                    gathering.vertex(record);
                }
                return;
            }
            b"SEQEND" => return self.finish_polyline(),
            _ => self.finish_polyline(),
        }
        if self.section == Section::Blocks && self.block.is_none() {
            return self
                .refuse(record, &Refusal::new("outside-block", "it stands in the blocks section outside any block"));
        }
        if let Some(refusal) = record.damage_refusal() {
            return self.refuse(record, &refusal);
        }
        if record.cut_short {
            return self.refuse(record, &Refusal::new("truncated", "the file ends inside it"));
        }
        if record.name == b"VERTEX" {
            return self.refuse(record, &Refusal::new("vertex-alone", "it follows no POLYLINE"));
        }
        let made = self.make(record);
        match made {
            Ok(entity) if record.name == b"POLYLINE" => self.start_polyline(record, entity),
            Ok(entity) => self.drawing.entities.push(entity),
            Err(refusal) => self.refuse(record, &refusal),
        }
    }

    fn make(&mut self, record: &Record<'a>) -> Read<Entity<'a>> {
        let normal = match record.point_if_any(210)? {
            Some(n) if n.x == 0.0 && n.y == 0.0 && n.z > 0.0 => None,
            Some(n) => match (Vector3::new(n.x, n.y, n.z).unit(), record.name) {
                (Some(unit), _) => Some(Box::new(unit)),
                // Kinds whose points lie in space do not need it.
                (None, b"LINE" | b"SPLINE" | b"3DFACE" | b"MTEXT" | b"LEADER") => None,
                (None, _) => return Err(Refusal::new("zero-normal", "its extrusion direction has no length")),
            },
            None => None,
        };
        let hidden = record.whole_or(60, 0)? == 1 || record.whole_or(67, 0)? == 1;
        let attribute_hidden = record.name == b"ATTRIB" && record.whole_or(70, 0)? & 1 == 1;
        let shape = if record.name == b"POLYLINE" { Shape::Aside } else { Shape::read(record, normal.as_deref())? };
        Ok(Entity {
            kind: record.name,
            handle: record.text(5).map(<[u8]>::trim_ascii),
            layer: self.layer(record.text(8).unwrap_or(b"0")),
            line: record.line,
            shown: !hidden && !attribute_hidden,
            normal,
            shape,
        })
    }

    fn refuse(&mut self, record: &Record<'a>, refusal: &Refusal) {
        let place = Place {
            layer: record.text(8).map(plain),
            handle: record.text(5).map(plain),
            line: Some(refusal.line.unwrap_or(record.line)),
            ..Place::default()
        };
        self.refuse_at(record.name, refusal, place);
    }

    fn refuse_at(&mut self, kind: &[u8], refusal: &Refusal, place: Place) {
        let kind = plain(kind);
        self.ledger.refusal(refusal, &kind, place);
        let count = self.drawing.refused.entry(kind).or_default();
        count.seen += 1;
        count.refused += 1;
    }

    fn start_polyline(&mut self, record: &Record<'a>, entity: Entity<'a>) {
        match Gathering::start(record, entity) {
            Ok(gathering) => self.polyline = Some(gathering),
            Err(refusal) => self.refuse(record, &refusal),
        }
    }

    fn finish_polyline(&mut self) {
        let Some(gathering) = self.polyline.take() else { return };
        let (kind, handle, line) = (gathering.entity.kind, gathering.entity.handle, gathering.entity.line);
        match gathering.finish() {
            Ok(entity) => self.drawing.entities.push(entity),
            Err(refusal) => {
                let line = Some(refusal.line.unwrap_or(line));
                self.refuse_at(kind, &refusal, Place { handle: handle.map(plain), line, ..Place::default() });
            }
        }
    }

    fn finish_block(&mut self) {
        let end = self.drawing.entities.len();
        if let Some((name, base, start)) = self.block.take() {
            // The first definition of a name holds, as in the programs that write these files.
            let position = self.drawing.blocks.len();
            self.drawing.block_names.entry(name.to_ascii_uppercase()).or_insert(position);
            self.drawing.blocks.push(Block { name, base, entities: start..end });
        }
        if self.section == Section::Entities
            && let Some(range) = self.drawing.model.last_mut()
        {
            range.end = end;
        }
    }

    fn finish(mut self, bytes: &[u8]) -> Drawing<'a> {
        let header = &self.drawing.header;
        let decoder = Decoder::new(header.version.as_deref(), header.code_page.as_deref(), bytes);
        // The names are looked up no more, and a drawing may have a million.
        drop(self.layer_names);
        self.drawing.layers = self
            .raw_layers
            .iter()
            .map(|&(name, off, frozen)| Layer { name: decoder.plain(name), off, frozen })
            .collect();
        self.drawing.decoder = decoder;
        self.drawing.size = bytes.len();
        self.drawing
    }
}

/// Bytes of the file's plain part as a string, whatever they are.
pub(super) fn plain(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes.trim_ascii()).into_owned()
}
