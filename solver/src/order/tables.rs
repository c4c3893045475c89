//! The order as comma-separated text for spreadsheets.

use super::model::{Order, OrderLine};
use crate::bill::Unit;
use crate::cells::{names, table, text};

impl Order {
    /// `order.csv`: a row for each line of the purchase list, then the total.
    #[must_use]
    pub fn order_csv(&self) -> String {
        let header = [
            names(["row", "goods", "item", "size"]),
            vec![format!("spool_{}", self.length_unit)],
            names([
                "quantity",
                "unit",
                "unit_price",
                "extension",
                "currency",
                "for_jobs",
            ]),
        ]
        .concat();
        let currency = text(&self.currency);
        let lines = self.lines.iter().map(|line| {
            vec![
                "line".to_owned(),
                line.goods.words().to_owned(),
                text(&line.item),
                text(&line.size),
                line.spool_length
                    .map(|length| length.to_string())
                    .unwrap_or_default(),
                line.quantity.to_string(),
                line.unit.symbol().to_owned(),
                line.unit_price.to_string(),
                line.extension.to_string(),
                currency.clone(),
                self.shares(line),
            ]
        });
        let mut total = vec![String::new(); header.len()];
        total[0] = "total".to_owned();
        total[8] = self.total.to_string();
        total[9].clone_from(&currency);
        table(&header, lines.chain([total]))
    }

    /// How much each job uses: `1: 12, 2: 7`; empty for what jobs share.
    #[must_use]
    pub fn shares(&self, line: &OrderLine) -> String {
        let unit = match line.unit {
            Unit::Metres | Unit::Feet => format!(" {}", line.unit.symbol()),
            _ => String::new(),
        };
        let shares = self.jobs.iter().zip(&line.by_job);
        let used = shares.filter(|(_, share)| !share.is_zero());
        used.map(|(job, share)| format!("{}: {share}{unit}", job.number))
            .collect::<Vec<_>>()
            .join(", ")
    }

    /// `cuts.csv`: a row for each cut, in the order of cutting, and one for what is left of each spool.
    #[must_use]
    pub fn cuts_csv(&self) -> String {
        let unit = &self.length_unit;
        let header = [
            names(["spool", "cable", "gauge", "source"]),
            vec![format!("spool_{unit}")],
            names(["cut"]),
            vec![format!("length_{unit}"), format!("marks_{unit}")],
            names([
                "job",
                "pieces",
                "from",
                "to",
                "continues",
                "goes_on",
                "left",
            ]),
        ]
        .concat();
        let rows = self.spools.iter().flat_map(|spool| {
            let start = [
                spool.number.to_string(),
                text(&spool.cable),
                text(&spool.gauge),
                if spool.bought { "bought" } else { "on hand" }.to_owned(),
                spool.length.to_string(),
            ];
            let of_cut = |place: &super::CutRef| format!("{}.{}", place.spool, place.cut);
            let after = start.clone();
            let cuts = spool.cuts.iter().map(move |cut| {
                let marks: Vec<String> = cut.marks.iter().map(ToString::to_string).collect();
                let mut row = start.to_vec();
                row.extend([
                    cut.number.to_string(),
                    cut.length.to_string(),
                    marks.join(" "),
                    cut.job.to_string(),
                    text(&cut.pieces.join(" ")),
                    text(&cut.from),
                    text(&cut.to),
                    cut.continues.as_ref().map(of_cut).unwrap_or_default(),
                    cut.goes_on.as_ref().map(of_cut).unwrap_or_default(),
                    String::new(),
                ]);
                row
            });
            let mut left = after.to_vec();
            left.extend([String::new(), spool.left.to_string()]);
            left.resize(14, String::new());
            left.push(if spool.keep { "keep" } else { "waste" }.to_owned());
            cuts.chain([left])
        });
        table(&header, rows)
    }

    /// `stock.csv`: what is on hand once everything is cut, as a catalogue's `stock.csv` states it.
    #[must_use]
    pub fn stock_csv(&self) -> String {
        let header = [
            names(["cable"]),
            vec![format!("length_{}", self.length_unit)],
            names(["count"]),
        ]
        .concat();
        let held = self.stock.iter().filter(|row| row.after() > 0);
        let rows = held.map(|row| {
            vec![
                text(&row.cable),
                row.length.to_string(),
                row.after().to_string(),
            ]
        });
        table(&header, rows)
    }
}
