//! The takeoff becomes a spreadsheet workbook: material and quote, cut list, cutting plan, leads, kits, labour, season.
//!
//! Totals are formulas over the cells above them, and carry the value worked out here, so that a reader who does not recalculate
//! sees the same. The creation date is fixed: the same project gives the same bytes.

use crate::error::{Error, Result};
use crate::field::cut_status;
use crate::pipeline::Project;
use crate::thermal::Season;
use crate::units::INCHES_PER_FOOT;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatBorder, Formula, Workbook, Worksheet, XlsxError};

/// Months as column heads.
const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// The workbook's bytes.
///
/// # Errors
/// `xlsx-output` when the library refuses a value.
pub fn workbook(project: &Project) -> Result<Vec<u8>> {
    build(project).map_err(|e| {
        Error::unreadable("xlsx-output", format!("the workbook cannot be written: {e}"))
            .with_hint("this is a fault of the program: please report it with the job file")
    })
}

fn build(project: &Project) -> std::result::Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let properties = DocProperties::new()
        .set_title(project.job.project.title.as_str())
        .set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    book.set_properties(&properties);
    let styles = Styles::new();
    quote(&mut Page::new(book.add_worksheet(), "Material and quote", &styles)?, project)?;
    cut_list(&mut Page::new(book.add_worksheet(), "Cut list", &styles)?, project)?;
    cutting(&mut Page::new(book.add_worksheet(), "Cutting plan", &styles)?, project)?;
    leads(&mut Page::new(book.add_worksheet(), "Leads", &styles)?, project)?;
    kits(&mut Page::new(book.add_worksheet(), "Kits", &styles)?, project)?;
    labour(&mut Page::new(book.add_worksheet(), "Labour", &styles)?, project)?;
    if project.season.is_some() {
        season(&mut Page::new(book.add_worksheet(), "Season", &styles)?, project)?;
    }
    book.save_to_buffer()
}

struct Styles {
    note: Format,
    head: Format,
    total: Format,
    total_words: Format,
    plain: Format,
    two: Format,
}

impl Styles {
    fn new() -> Self {
        let total = Format::new().set_bold().set_num_format("#,##0.00").set_border_top(FormatBorder::Thin);
        Self {
            note: Format::new().set_italic(),
            head: Format::new().set_bold().set_border_bottom(FormatBorder::Thin).set_text_wrap(),
            total_words: Format::new().set_bold().set_border_top(FormatBorder::Thin),
            total,
            plain: Format::new().set_num_format("#,##0"),
            two: Format::new().set_num_format("#,##0.00"),
        }
    }
}

/// A cell.
enum Cell<'a> {
    Words(&'a str),
    Count(f64),
    Amount(f64),
    /// Nothing to show.
    Empty,
    /// A formula with the value it has.
    Sum(String, f64),
}

/// A worksheet: a note in the first line, heads in the third that stay in sight, rows from the fourth.
struct Page<'a> {
    sheet: &'a mut Worksheet,
    styles: &'a Styles,
    row: u32,
}

/// Line of the heads, from zero.
const HEADS: u32 = 2;

impl<'a> Page<'a> {
    fn new(sheet: &'a mut Worksheet, name: &str, styles: &'a Styles) -> std::result::Result<Self, XlsxError> {
        sheet.set_name(name)?;
        sheet.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(HEADS, HEADS)?;
        Ok(Self { sheet, styles, row: HEADS + 1 })
    }

    fn heads(&mut self, note: &str, heads: &[(&str, f64)]) -> std::result::Result<(), XlsxError> {
        self.sheet.write_string_with_format(0, 0, note, &self.styles.note)?;
        for (column, (head, width)) in (0_u16..).zip(heads) {
            self.sheet.write_string_with_format(HEADS, column, *head, &self.styles.head)?;
            self.sheet.set_column_width(column, *width)?;
        }
        self.sheet.set_freeze_panes(HEADS + 1, 0)?;
        Ok(())
    }

    fn cells(&mut self, cells: &[Cell], total: bool) -> std::result::Result<(), XlsxError> {
        let styles = self.styles;
        let row = self.row;
        for (column, cell) in (0_u16..).zip(cells) {
            match cell {
                Cell::Words(words) if total => {
                    self.sheet.write_string_with_format(row, column, *words, &styles.total_words)?;
                }
                Cell::Words(words) => {
                    self.sheet.write_string(row, column, *words)?;
                }
                Cell::Count(value) => {
                    self.sheet.write_number_with_format(row, column, *value, &styles.plain)?;
                }
                Cell::Amount(value) => {
                    self.sheet.write_number_with_format(row, column, *value, &styles.two)?;
                }
                Cell::Sum(formula, value) => {
                    let formula = Formula::new(formula).set_result(value.to_string());
                    let style = if total { &styles.total } else { &styles.two };
                    self.sheet.write_formula_with_format(row, column, formula, style)?;
                }
                Cell::Empty => {}
            }
        }
        self.row += 1;
        Ok(())
    }

    fn line(&mut self, cells: &[Cell]) -> std::result::Result<(), XlsxError> {
        self.cells(cells, false)
    }

    fn total(&mut self, cells: &[Cell]) -> std::result::Result<(), XlsxError> {
        self.cells(cells, true)
    }

    /// The sum of a column over the rows from the first to the one before this.
    fn sum(&self, column: char) -> String {
        self.sum_from(column, HEADS + 1)
    }

    fn sum_from(&self, column: char, first: u32) -> String {
        // Nothing to add: a range that ends before it begins would take in the heads.
        if self.row == first { "=0".to_owned() } else { format!("=SUM({column}{}:{column}{})", first + 1, self.row) }
    }
}

fn quote(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    let quote = &project.takeoff.quote;
    let invented = if quote.invented { " Prices are INVENTED." } else { "" };
    let note = format!(
        "Job {}: what to order, amounts in {}. {}.{invented}",
        project.job.project.number,
        quote.currency,
        cut_status(project.measured.as_ref())
    );
    page.heads(
        &note,
        &[
            ("group", 13.0),
            ("key", 22.0),
            ("item", 58.0),
            ("drawn", 10.0),
            ("order", 10.0),
            ("unit", 6.0),
            ("price", 10.0),
            ("amount", 12.0),
            ("sum of", 70.0),
        ],
    )?;
    for item in &project.takeoff.materials {
        let price = quote.lines.iter().find(|l| l.key == item.key).and_then(|l| l.price);
        let at = page.row + 1;
        let order = if item.order > 0.0 { Cell::Count(item.order) } else { Cell::Empty };
        let amount = match price {
            Some(price) => Cell::Sum(format!("=E{at}*G{at}"), price * item.order),
            None => Cell::Empty,
        };
        page.line(&[
            Cell::Words(&item.group),
            Cell::Words(&item.key),
            Cell::Words(&item.words),
            Cell::Amount(item.quantity),
            order,
            Cell::Words(&item.unit),
            price.map_or(Cell::Empty, Cell::Amount),
            amount,
            Cell::Words(&item.basis),
        ])?;
    }
    let material = Cell::Sum(page.sum('H'), quote.material);
    let blank = || [Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty];
    let total = |page: &mut Page, words: &str, cell: Cell| -> std::result::Result<u32, XlsxError> {
        let mut cells = vec![Cell::Words(words)];
        cells.extend(blank());
        cells.push(cell);
        page.total(&cells)?;
        Ok(page.row)
    };
    let material = total(page, "Material", material)?;
    let labour_cell = match quote.labour {
        Some(labour) => Cell::Sum(format!("=Labour!E{}", labour_row(project)), labour),
        None => Cell::Words("no rate"),
    };
    let labour = total(page, "Labour", labour_cell)?;
    let settings = &project.job.estimate.prices;
    let net = format!("SUM(H{material}:H{labour})");
    let markup = total(page, "Markup", Cell::Sum(format!("={net}*{}", settings.markup), quote.markup))?;
    let taxed = format!("SUM(H{material}:H{markup})");
    let tax = total(page, "Tax", Cell::Sum(format!("={taxed}*{}", settings.tax), quote.tax))?;
    total(page, "Total", Cell::Sum(format!("=SUM(H{material}:H{tax})"), quote.total))?;
    if !quote.unpriced.is_empty() {
        page.row += 1;
        let words = format!("Without a price, and not in the total: {}.", quote.unpriced.join(", "));
        page.line(&[Cell::Words(&words)])?;
    }
    Ok(())
}

fn cut_list(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    let note = format!("{}: lengths on the slope", cut_status(project.measured.as_ref()));
    page.heads(&note, &[("tag", 14.0), ("face", 8.0), ("element", 14.0), ("cut, in", 12.0), ("cut, ft", 12.0)])?;
    for cut in &project.takeoff.cuts {
        let at = page.row + 1;
        page.line(&[
            Cell::Words(&cut.tag),
            Cell::Words(&cut.face.to_string()),
            Cell::Words(&cut.element_key),
            Cell::Amount(cut.length),
            Cell::Sum(format!("=D{at}/12"), cut.length / INCHES_PER_FOOT),
        ])?;
    }
    let inches = project.takeoff.cuts.iter().fold(0.0, |sum, c| sum + c.length);
    let (d, e) = (page.sum('D'), page.sum('E'));
    page.total(&[
        Cell::Words("Total"),
        Cell::Empty,
        Cell::Empty,
        Cell::Sum(d, inches),
        Cell::Sum(e, inches / INCHES_PER_FOOT),
    ])
}

fn cutting(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    let plans = &project.takeoff.plans;
    let gaps: Vec<String> = plans
        .iter()
        .map(|p| {
            let proof = if p.optimal { "proven the fewest" } else { "not proven the fewest" };
            format!("{}: {} rolls, no plan needs fewer than {}, {proof}", p.element_key, p.rolls.len(), p.bound)
        })
        .collect();
    let note = format!("{}: {}", cut_status(project.measured.as_ref()), gaps.join("; "));
    page.heads(
        &note,
        &[("element", 14.0), ("roll", 8.0), ("pieces in order of cutting", 80.0), ("offcut, in", 12.0), ("keep", 8.0)],
    )?;
    let tag = |id| project.takeoff.cuts.iter().find(|c| c.segment == id).map_or("", |c| c.tag.as_str());
    for plan in plans {
        for (at, roll) in plan.rolls.iter().enumerate() {
            let pieces: Vec<&str> = roll.pieces.iter().map(|&id| tag(id)).collect();
            page.line(&[
                Cell::Words(&plan.element_key),
                Cell::Count((at + 1) as f64),
                Cell::Words(&pieces.join(" ")),
                Cell::Amount(roll.offcut),
                Cell::Words(if roll.kept { "keep" } else { "waste" }),
            ])?;
        }
    }
    let offcuts = plans.iter().flat_map(|p| &p.rolls).fold(0.0, |sum, r| sum + r.offcut);
    let sum = page.sum('D');
    page.total(&[Cell::Words("Total"), Cell::Empty, Cell::Empty, Cell::Sum(sum, offcuts)])
}

fn leads(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    page.heads(
        cut_status(project.measured.as_ref()),
        &[("lead", 10.0), ("cable", 14.0), ("length, in", 12.0), ("length, ft", 12.0), ("stock, ft", 12.0)],
    )?;
    for lead in &project.takeoff.leads {
        let at = page.row + 1;
        page.line(&[
            Cell::Words(&lead.lead.to_string()),
            Cell::Words(&lead.lead_key),
            Cell::Amount(lead.length),
            Cell::Sum(format!("=C{at}/12"), lead.length / INCHES_PER_FOOT),
            lead.stock.map_or(Cell::Empty, |stock| Cell::Amount(stock / INCHES_PER_FOOT)),
        ])?;
    }
    let inches = project.takeoff.leads.iter().fold(0.0, |sum, l| sum + l.length);
    let (c, d) = (page.sum('C'), page.sum('D'));
    page.total(&[Cell::Words("Total"), Cell::Empty, Cell::Sum(c, inches), Cell::Sum(d, inches / INCHES_PER_FOOT)])
}

fn kits(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    page.heads("One kit for each face", &[("kit", 10.0), ("what", 24.0), ("quantity", 10.0), ("which", 100.0)])?;
    let tag = |id| project.takeoff.cuts.iter().find(|c| c.segment == id).map_or("", |c| c.tag.as_str());
    for kit in &project.takeoff.kits {
        let name = format!("KIT {}", kit.face);
        let pieces: Vec<&str> = kit.segments.iter().map(|&id| tag(id)).collect();
        let leads: Vec<String> = kit.leads.iter().map(ToString::to_string).collect();
        page.line(&[
            Cell::Words(&name),
            Cell::Words("pieces of element"),
            Cell::Count(pieces.len() as f64),
            Cell::Words(&pieces.join(" ")),
        ])?;
        page.line(&[
            Cell::Words(&name),
            Cell::Words("leads and jumpers"),
            Cell::Count(leads.len() as f64),
            Cell::Words(&leads.join(" ")),
        ])?;
        for part in &kit.parts {
            page.line(&[Cell::Words(&name), Cell::Words(&part.key), Cell::Count(part.quantity)])?;
        }
    }
    Ok(())
}

/// The line of the labour's total as a spreadsheet counts.
fn labour_row(project: &Project) -> u32 {
    HEADS + 2 + project.takeoff.quote.labour_lines.len() as u32
}

fn labour(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    let quote = &project.takeoff.quote;
    let heads =
        [("work", 48.0), ("quantity", 12.0), ("unit", 8.0), ("minutes each", 12.0), ("amount", 12.0), ("hours", 12.0)];
    page.heads("Working time by the job's rates", &heads)?;
    let rate = quote.rate;
    for line in &quote.labour_lines {
        let at = page.row + 1;
        let amount = rate.map_or(Cell::Empty, |rate| Cell::Sum(format!("=F{at}*{rate}"), line.hours * rate));
        page.line(&[
            Cell::Words(&line.words),
            Cell::Amount(line.quantity),
            Cell::Words(&line.unit),
            Cell::Amount(line.minutes),
            amount,
            Cell::Sum(format!("=B{at}*D{at}/60"), line.hours),
        ])?;
    }
    let amount = match quote.labour {
        Some(labour) => Cell::Sum(page.sum('E'), labour),
        None => Cell::Empty,
    };
    let hours = page.sum('F');
    page.total(&[Cell::Words("Total"), Cell::Empty, Cell::Empty, Cell::Empty, amount, Cell::Sum(hours, quote.hours)])
}

fn season(page: &mut Page, project: &Project) -> std::result::Result<(), XlsxError> {
    let Some(seasons) = &project.season else { return Ok(()) };
    let unfit = if seasons.fitness.fit { "" } else { " The file is UNFIT: it has no snow depth and no weather codes." };
    let note = format!("Weather of {}.{unfit} An estimate for one typical year.", seasons.place);
    let heads = [
        ("month", 10.0),
        ("hours, sky wet", 16.0),
        ("kWh, sky wet", 16.0),
        ("cost, sky wet", 16.0),
        ("hours, snow lying", 16.0),
        ("kWh, snow lying", 16.0),
        ("cost, snow lying", 16.0),
    ];
    page.heads(&note, &heads)?;
    let (sky, lying) = (&seasons.sky_wet, &seasons.snow_lying);
    for (at, month) in MONTHS.iter().enumerate() {
        let of = |season: &Season| season.months[at];
        let (a, b) = (of(sky), of(lying));
        page.line(&[
            Cell::Words(month),
            Cell::Count(f64::from(a.hours)),
            Cell::Amount(a.energy),
            Cell::Amount(a.cost),
            Cell::Count(f64::from(b.hours)),
            Cell::Amount(b.energy),
            Cell::Amount(b.cost),
        ])?;
    }
    let sums = ['B', 'C', 'D', 'E', 'F', 'G'].map(|column| page.sum(column));
    let values = [f64::from(sky.hours), sky.energy, sky.cost, f64::from(lying.hours), lying.energy, lying.cost];
    let mut cells = vec![Cell::Words("Year")];
    cells.extend(sums.into_iter().zip(values).map(|(formula, value)| Cell::Sum(formula, value)));
    page.total(&cells)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::project_fixture::project;

    #[test]
    fn two_runs_give_the_same_bytes() {
        let (first, second) = (workbook(&project()).unwrap(), workbook(&project()).unwrap());
        assert!(first.starts_with(b"PK") && first == second);
    }
}
