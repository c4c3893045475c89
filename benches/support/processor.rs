//! Processor time, which other programs on the same cores do not lengthen much.

/// Processor time of a process so far, s: fields 14 and 15 of `stat` of Linux, in ticks
/// of a hundredth of a second (`proc(5)`; the tick is 1/100 s on every common build).
/// `None` where the system does not tell it.
#[must_use]
pub fn seconds(process: u32) -> Option<f64> {
    const TICKS_A_SECOND: f64 = 100.0;
    let status = std::fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    // The second field is the name in brackets and may hold blanks.
    let (_, rest) = status.rsplit_once(") ")?;
    let fields: Vec<&str> = rest.split(' ').collect();
    let ticks = |field: usize| {
        fields
            .get(field - 3)
            .and_then(|text| text.parse::<f64>().ok())
    };
    Some((ticks(14)? + ticks(15)?) / TICKS_A_SECOND)
}
