//! The paper of a portfolio.

use crate::content;
use crate::error::ReportError;
use crate::options::PaperOptions;
use crate::{foot, identifier, layout, pdf};
use duskwright_solver::portfolio::Portfolio;

/// The portfolio as the bytes of a PDF file.
///
/// # Errors
/// [`ReportError::Font`] when a built-in font is broken, [`ReportError::Write`] when the file cannot be serialised.
pub fn write_portfolio_pdf(
    portfolio: &Portfolio,
    options: &PaperOptions,
) -> Result<Vec<u8>, ReportError> {
    let fonts = pdf::Fonts::built_in()?;
    let sections = content::portfolio::sections(portfolio, options);
    let title = format!("Portfolio of {} jobs", portfolio.rows.len());
    let pages = layout::lay_out(
        &fonts.typeface(),
        crate::stock(options, &crate::Presentation::default()),
        &sections,
        &foot(&title, options),
    );
    let about = pdf::About {
        author: String::new(),
        subject: "Planned jobs of low-voltage lighting side by side".to_owned(),
        identifier: identifier(&title, options),
        title,
    };
    pdf::write(&fonts, &pages, &about, options)
}
