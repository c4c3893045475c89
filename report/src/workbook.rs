//! An order as a workbook (Office Open XML): numbers are numbers, extensions and
//! totals are formulas, and text of the user is text that no spreadsheet runs.

use crate::error::ReportError;
use crate::options::PaperOptions;
use duskwright_solver::cells;
use duskwright_solver::order::{CutRef, Order, OrderLine};
use rust_decimal::prelude::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet,
    XlsxError,
};

/// A column: heading, width in characters, format of its numbers.
type Column = (String, f64, &'static str);

/// Fills a sheet; the text is the format of lengths.
type Fill = fn(&mut Sheet<'_>, &Order, &'static str) -> Result<(), XlsxError>;

const COUNT: &str = "#,##0";
/// As many decimals as there are: a format with optional decimals leaves a bare point behind.
const QUANTITY: &str = "General";
const MONEY: &str = "#,##0.00";
/// A unit price with all the places it has, at least two.
const PRICE: &str = "#,##0.00####";
const TEXT: &str = "@";

/// The order as the bytes of an `.xlsx` file. The same order and options give the same bytes.
///
/// # Errors
/// [`ReportError::Workbook`] when a text is longer than a cell may hold (32,767 characters), or the file cannot be written.
pub fn write_order_xlsx(order: &Order, options: &PaperOptions) -> Result<Vec<u8>, ReportError> {
    made(order, options).map_err(|error| ReportError::Workbook {
        reason: error.to_string(),
    })
}

fn made(order: &Order, options: &PaperOptions) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let date = ExcelDateTime::from_ymd(
        options.date.year(),
        options.date.month(),
        options.date.day(),
    )?;
    workbook.set_properties(
        &DocProperties::new()
            .set_title("Order")
            .set_comment(options.made())
            .set_creation_datetime(&date),
    );
    let lengths = if order.length_unit == "m" {
        "#,##0.00"
    } else {
        "#,##0.0"
    };
    let sheets: [(&str, Fill); 5] = [
        ("Order", purchase),
        ("Cable", cable),
        ("Cut sheet", cut_sheet),
        ("Pieces", pieces),
        ("Stock", stock),
    ];
    for (name, fill) in sheets {
        let mut sheet = Sheet {
            worksheet: workbook.add_worksheet().set_name(name)?,
            row: 0,
        };
        fill(&mut sheet, order, lengths)?;
    }
    workbook.save_to_buffer()
}

/// A worksheet that is written row by row.
struct Sheet<'a> {
    worksheet: &'a mut Worksheet,
    row: u32,
}

/// What goes into a cell.
enum Cell {
    Text(String),
    Number(Decimal),
    /// A formula with its value.
    Formula(String, Decimal),
    Blank,
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}
impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}
impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}
impl From<Decimal> for Cell {
    fn from(number: Decimal) -> Self {
        Self::Number(number)
    }
}
impl From<u32> for Cell {
    fn from(number: u32) -> Self {
        Self::Number(number.into())
    }
}
impl<T: Into<Self>> From<Option<T>> for Cell {
    fn from(some: Option<T>) -> Self {
        some.map_or(Self::Blank, Into::into)
    }
}

impl Sheet<'_> {
    fn heading(&mut self, columns: &[Column]) -> Result<(), XlsxError> {
        let format = Format::new()
            .set_bold()
            .set_text_wrap()
            .set_align(FormatAlign::Top)
            .set_border_bottom(FormatBorder::Thin);
        for (at, (heading, width, _)) in (0..).zip(columns) {
            self.worksheet.set_column_width(at, *width)?;
            self.worksheet
                .write_string_with_format(0, at, heading, &format)?;
        }
        self.worksheet.set_freeze_panes(1, 0)?;
        self.worksheet.set_landscape();
        self.worksheet.set_print_fit_to_pages(1, 0);
        self.row = 1;
        Ok(())
    }

    fn write(&mut self, columns: &[Column], cells: Vec<Cell>, sum: bool) -> Result<(), XlsxError> {
        for ((at, cell), (_, _, number)) in (0..).zip(cells).zip(columns) {
            let mut format = Format::new().set_align(FormatAlign::Top);
            if sum {
                format = format.set_bold().set_border_top(FormatBorder::Thin);
            }
            let row = self.row;
            match cell {
                Cell::Blank => continue,
                Cell::Text(text) => {
                    format = format.set_num_format(TEXT);
                    if cells::is_run(&text) {
                        // As if typed with an apostrophe in front: stays text when edited.
                        format = format.set_quote_prefix();
                    }
                    self.worksheet
                        .write_string_with_format(row, at, text, &format)?;
                }
                Cell::Number(value) => {
                    let format = format.set_num_format(*number);
                    self.worksheet
                        .write_number_with_format(row, at, near(value), &format)?;
                }
                Cell::Formula(formula, value) => {
                    let format = format.set_num_format(*number);
                    let formula = Formula::new(formula).set_result(value.to_string());
                    self.worksheet
                        .write_formula_with_format(row, at, formula, &format)?;
                }
            }
        }
        self.row += 1;
        Ok(())
    }

    /// Number of the row being written, as a spreadsheet counts.
    const fn number(&self) -> u32 {
        self.row + 1
    }
}

/// The binary number next to a decimal: all that a workbook can hold.
fn near(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(0.0)
}

fn column(heading: impl Into<String>, width: f64, format: &'static str) -> Column {
    (heading.into(), width, format)
}

fn purchase(sheet: &mut Sheet<'_>, order: &Order, lengths: &'static str) -> Result<(), XlsxError> {
    let (unit, currency) = (&order.length_unit, &order.currency);
    let columns = [
        column("Goods", 20.0, TEXT),
        column("Item", 22.0, TEXT),
        column("Size", 14.0, TEXT),
        column(format!("Spool ({unit})"), 11.0, lengths),
        column("Quantity", 11.0, QUANTITY),
        column("Unit", 7.0, TEXT),
        column(format!("Unit price ({currency})"), 14.0, PRICE),
        column(format!("Extension ({currency})"), 16.0, MONEY),
        column("Job: how many", 24.0, TEXT),
    ];
    sheet.heading(&columns)?;
    for line in &order.lines {
        let extension = Cell::Formula(extension(line, sheet.number()), line.extension.decimal());
        let cells = vec![
            line.goods.words().into(),
            (&line.item).into(),
            (&line.size).into(),
            line.spool_length.into(),
            line.quantity.into(),
            line.unit.symbol().into(),
            line.unit_price.decimal().into(),
            extension,
            order.shares(line).into(),
        ];
        sheet.write(&columns, cells, false)?;
    }
    let last = sheet.row.max(2);
    let total = Cell::Formula(format!("=SUM(H2:H{last})"), order.total.decimal());
    let mut cells: Vec<Cell> = vec!["Total".into()];
    cells.extend((1..7).map(|_| Cell::Blank));
    cells.push(total);
    sheet.write(&columns, cells, true)?;
    let note = |text: String| vec![Cell::Text(text)];
    if let Some(saving) = order.saving.filter(|_| order.jobs.len() > 1) {
        sheet.row += 1;
        let text = format!(
            "Saved on cable by cutting the jobs together: {:.2} {currency}",
            saving.decimal()
        );
        sheet.write(&columns, note(text), false)?;
    }
    for remark in &order.remarks {
        sheet.write(&columns, note(remark.clone()), false)?;
    }
    Ok(())
}

/// Quantity x price to the cent.
///
/// Extensions are rounded half to even, `ROUND` rounds half away from zero: where
/// the two differ (a length times a price that ends on half a cent) the formula rounds to even.
fn extension(line: &OrderLine, row: u32) -> String {
    let exact = line.unit_price.times(line.quantity).decimal();
    let away = exact.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
    if away == line.extension.decimal() {
        format!("=ROUND(E{row}*G{row},2)")
    } else {
        format!("=ROUND(E{row}*G{row}*50,0)/50")
    }
}

fn cable(sheet: &mut Sheet<'_>, order: &Order, lengths: &'static str) -> Result<(), XlsxError> {
    let (unit, currency) = (&order.length_unit, &order.currency);
    let length = |name: &str| column(format!("{name} ({unit})"), 12.0, lengths);
    let columns = [
        column("Cable", 18.0, TEXT),
        column("Gauge", 12.0, TEXT),
        column("Pieces", 9.0, COUNT),
        length("Needed"),
        length("From stock"),
        length("Bought"),
        length("Kept"),
        length("Waste"),
        column("Pulls parted", 9.0, COUNT),
        column(format!("Spools cost ({currency})"), 14.0, MONEY),
        column(format!("Proved least possible ({currency})"), 14.0, MONEY),
        column(format!("Cut one after another ({currency})"), 14.0, MONEY),
        column(format!("Saved ({currency})"), 12.0, MONEY),
    ];
    sheet.heading(&columns)?;
    for row in &order.cables {
        let number = sheet.number();
        let alone = row.alone().map(|price| price.decimal());
        let saved = row.saving().map_or(Cell::Blank, |saving| {
            Cell::Formula(format!("=L{number}-J{number}"), saving.decimal())
        });
        let cells = vec![
            (&row.cable).into(),
            (&row.gauge).into(),
            row.pieces.into(),
            row.needed.into(),
            row.drawn.into(),
            row.bought.into(),
            row.kept.into(),
            row.waste.into(),
            row.partings.into(),
            row.cost.decimal().into(),
            row.bound.decimal().into(),
            alone.into(),
            saved,
        ];
        sheet.write(&columns, cells, false)?;
    }
    Ok(())
}

fn place(place: Option<CutRef>) -> Cell {
    place
        .map(|place| format!("{}.{}", place.spool, place.cut))
        .into()
}

fn cut_sheet(sheet: &mut Sheet<'_>, order: &Order, lengths: &'static str) -> Result<(), XlsxError> {
    let unit = &order.length_unit;
    let columns = [
        column("Spool", 7.0, COUNT),
        column("Cable", 16.0, TEXT),
        column("Gauge", 11.0, TEXT),
        column("Source", 9.0, TEXT),
        column(format!("Spool ({unit})"), 10.0, lengths),
        column("Cut", 8.0, TEXT),
        column(format!("Length ({unit})"), 10.0, lengths),
        column(format!("Mark at ({unit})"), 22.0, TEXT),
        column("Pieces", 26.0, TEXT),
        column("From", 20.0, TEXT),
        column("To", 20.0, TEXT),
        column("Start joins", 9.0, TEXT),
        column("End joins", 9.0, TEXT),
        column(format!("Left ({unit})"), 10.0, lengths),
        column("Keep", 8.0, TEXT),
    ];
    sheet.heading(&columns)?;
    for spool in &order.spools {
        let first = sheet.number();
        for cut in &spool.cuts {
            let marks: Vec<String> = cut.marks.iter().map(ToString::to_string).collect();
            let cells = vec![
                spool.number.into(),
                (&spool.cable).into(),
                (&spool.gauge).into(),
                if spool.bought { "new" } else { "on hand" }.into(),
                spool.length.into(),
                format!("{}.{}", spool.number, cut.number).into(),
                cut.length.into(),
                marks.join("; ").into(),
                cut.pieces.join(", ").into(),
                (&cut.from).into(),
                (&cut.to).into(),
                place(cut.continues),
                place(cut.goes_on),
            ];
            sheet.write(&columns, cells, false)?;
        }
        let last = sheet.row;
        let mut cells: Vec<Cell> = vec![spool.number.into(), (&spool.cable).into()];
        cells.extend((2..13).map(|_| Cell::Blank));
        cells.push(Cell::Formula(
            format!("=E{first}-SUM(G{first}:G{last})"),
            spool.left,
        ));
        cells.push(if spool.keep { "keep" } else { "waste" }.into());
        sheet.write(&columns, cells, true)?;
    }
    Ok(())
}

fn pieces(sheet: &mut Sheet<'_>, order: &Order, lengths: &'static str) -> Result<(), XlsxError> {
    let columns = [
        column("Piece", 14.0, TEXT),
        column("Job", 6.0, COUNT),
        column("Circuit", 9.0, TEXT),
        column("From", 22.0, TEXT),
        column("To", 22.0, TEXT),
        column("Cable", 16.0, TEXT),
        column("Gauge", 12.0, TEXT),
        column(format!("Length ({})", order.length_unit), 12.0, lengths),
        column("Cut", 9.0, TEXT),
    ];
    sheet.heading(&columns)?;
    for label in &order.labels {
        let cells = vec![
            (&label.id).into(),
            label.job.into(),
            (&label.circuit).into(),
            (&label.from).into(),
            (&label.to).into(),
            (&label.cable).into(),
            (&label.gauge).into(),
            label.length.into(),
            place(label.cut),
        ];
        sheet.write(&columns, cells, false)?;
    }
    let last = sheet.row.max(2);
    let mut cells: Vec<Cell> = vec!["Total".into()];
    cells.extend((1..7).map(|_| Cell::Blank));
    cells.push(Cell::Formula(format!("=SUM(H2:H{last})"), order.cable));
    sheet.write(&columns, cells, true)
}

fn stock(sheet: &mut Sheet<'_>, order: &Order, lengths: &'static str) -> Result<(), XlsxError> {
    let columns = [
        column("Cable", 18.0, TEXT),
        column("Gauge", 12.0, TEXT),
        column(format!("Length ({})", order.length_unit), 12.0, lengths),
        column("On hand before", 10.0, COUNT),
        column("Drawn", 9.0, COUNT),
        column("Left over and kept", 11.0, COUNT),
        column("On hand after", 10.0, COUNT),
    ];
    sheet.heading(&columns)?;
    for row in &order.stock {
        let number = sheet.number();
        let after = Cell::Formula(
            format!("=D{number}-E{number}+F{number}"),
            row.after().into(),
        );
        let cells = vec![
            (&row.cable).into(),
            (&row.gauge).into(),
            row.length.into(),
            row.before.into(),
            row.drawn.into(),
            row.added.into(),
            after,
        ];
        sheet.write(&columns, cells, false)?;
    }
    Ok(())
}
