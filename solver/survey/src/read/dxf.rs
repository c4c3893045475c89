//! DXF text to features, by layer and block.
//!
//! A drawing is pairs of lines, a group code and a value (the open description of the format
//! calls them so). Read are LINE, LWPOLYLINE, POLYLINE, CIRCLE, POINT and INSERT in the
//! section ENTITIES; anything else on a mapped layer is left out and said. Own reader, so that
//! a message can name the line.

use super::settings::Words;
use super::{Feature, Settings, Shape, Units};
use crate::fault::{Code, Fault, Ledger, Place};
use ::geo::Coord;
use std::collections::BTreeSet;

/// Corners by which a circle is drawn.
const ROUND: u32 = 24;
/// Largest angle between the corners by which an arc of a polyline is drawn, radians.
const ARC_STEP: f64 = 0.2;

/// Header variable with the unit of the coordinates.
const INSUNITS: &str = "$INSUNITS";

/// A group code and its value.
struct Pair<'a> {
    code: i32,
    value: &'a str,
    line: usize,
}

/// An entity: its pairs.
struct Entity<'a> {
    kind: &'a str,
    line: usize,
    pairs: Vec<Pair<'a>>,
}

/// Reads all features on layers or of blocks that the settings give a meaning.
pub(super) fn read(
    name: &str,
    bytes: &[u8],
    settings: &mut Settings,
    ledger: &mut Ledger,
) -> Vec<Feature> {
    let text = String::from_utf8_lossy(bytes);
    let file = Place::file(name);
    let Some(pairs) = pairs(&text, &file, ledger) else {
        return Vec::new();
    };
    units(&pairs, settings, &file, ledger);
    if settings.layers.is_empty() && settings.blocks.is_empty() {
        ledger.add(
            Fault::new(
                Code::Settings,
                settings.file.as_ref().unwrap_or(&file),
                "a drawing needs settings that say what its layers mean",
            )
            .accepted("--settings FILE.toml with entries [[layers]] name = \"...\", is = \"...\""),
        );
        return Vec::new();
    }
    let entities = entities(pairs);
    let mut seen = BTreeSet::new();
    let mut unread: BTreeSet<String> = BTreeSet::new();
    let mut features = Vec::new();
    for (number, entity) in entities.iter().enumerate() {
        let layer = entity.text(8).unwrap_or_default();
        let block = entity.text(2).filter(|_| entity.kind == "INSERT");
        let place = Place {
            feature: Some(number + 1),
            id: entity
                .attribute()
                .or_else(|| entity.text(5).map(str::to_owned)),
            layer: Some(layer.to_owned()),
            line: Some(entity.line),
            ..file.clone()
        };
        let known = block
            .and_then(|block| meaning(&settings.blocks, block, "block", &mut seen))
            .or_else(|| meaning(&settings.layers, layer, "layer", &mut seen));
        let Some(words) = known else {
            unread.insert(layer.to_owned());
            continue;
        };
        let mut words = words.clone();
        for (tag, value) in entity.attributes() {
            words.insert(tag, value);
        }
        match entity.shape(&words) {
            Some(shape) => features.push(Feature {
                place,
                shape,
                words,
            }),
            None => ledger.add(
                Fault::new(
                    Code::LeftOut,
                    &place,
                    format!("an entity {} was left out", entity.kind),
                )
                .accepted("LINE, LWPOLYLINE, POLYLINE, CIRCLE, POINT, INSERT"),
            ),
        }
    }
    join_lines(&mut features);
    for (what, entries) in [("layer", &settings.layers), ("block", &settings.blocks)] {
        for (entry, _) in entries {
            if !seen.contains(&(what, entry.clone())) {
                let known: Vec<&str> = unread.iter().map(String::as_str).collect();
                ledger.add(
                    Fault::new(
                        Code::EmptyLayer,
                        &file,
                        format!("there is nothing on the {what} `{entry}`"),
                    )
                    .accepted(format!(
                        "a {what} of the drawing; layers without a meaning: {}",
                        known.join(", ")
                    )),
                );
            }
        }
    }
    if !unread.is_empty() {
        let names: Vec<String> = unread.iter().map(|layer| format!("`{layer}`")).collect();
        ledger.add(Fault::new(
            Code::LeftOut,
            &file,
            format!(
                "layers without a meaning were left out: {}",
                names.join(", ")
            ),
        ));
    }
    features
}

fn meaning<'a>(
    entries: &'a [(String, Words)],
    name: &str,
    what: &'static str,
    seen: &mut BTreeSet<(&'static str, String)>,
) -> Option<&'a Words> {
    let (entry, words) = entries
        .iter()
        .find(|(entry, _)| entry.eq_ignore_ascii_case(name))?;
    seen.insert((what, entry.clone()));
    Some(words)
}

fn pairs<'a>(text: &'a str, file: &Place, ledger: &mut Ledger) -> Option<Vec<Pair<'a>>> {
    let mut pairs = Vec::new();
    let mut lines = text.lines().enumerate();
    while let Some((number, code)) = lines.next() {
        let line = number + 1;
        if code.trim().is_empty() {
            continue;
        }
        let value = lines.next();
        let (Ok(code), Some((_, value))) = (code.trim().parse(), value) else {
            let place = Place {
                line: Some(line),
                ..file.clone()
            };
            ledger.add(
                Fault::new(Code::Unreadable, &place, "not a DXF drawing in text form")
                    .given(code.chars().take(40).collect::<String>())
                    .accepted("pairs of lines: a whole number, then its value; binary drawings are not read"),
            );
            return None;
        };
        pairs.push(Pair {
            code,
            value: value.trim(),
            line,
        });
    }
    let whole = pairs
        .iter()
        .any(|pair| pair.code == 2 && pair.value == "ENTITIES")
        && pairs.last().is_some_and(|pair| pair.value == "EOF");
    if !whole {
        let place = Place {
            line: Some(text.lines().count()),
            ..file.clone()
        };
        ledger.add(Fault::new(
            Code::Unreadable,
            &place,
            "the drawing ends early or has no section ENTITIES",
        ));
        return None;
    }
    Some(pairs)
}

/// Units of the drawing (header variable [`INSUNITS`]) against those declared.
fn units(pairs: &[Pair<'_>], settings: &mut Settings, file: &Place, ledger: &mut Ledger) {
    let named = |pair: &Pair<'_>| pair.code == 9 && pair.value == INSUNITS;
    let at = pairs.iter().position(named);
    let stated = at.and_then(|at| pairs.get(at + 1));
    let place = Place {
        line: stated.map(|pair| pair.line + 1),
        ..file.field(INSUNITS)
    };
    let stated = stated.map(|pair| pair.value);
    let drawn = match stated {
        Some("2" | "21") => Some(Units::Feet),
        Some("6") => Some(Units::Metres),
        _ => None,
    };
    let message = match (drawn, settings.units(), stated) {
        (Some(drawn), Some(declared), _) if drawn != declared => {
            "the drawing states another unit than the settings"
        }
        (None, _, Some(stated)) if stated != "0" => "the drawing is in a unit that is not read",
        (None, None | Some(Units::Degrees), _) => "the drawing states no unit",
        (drawn, _, _) => {
            if let Some(drawn) = drawn {
                settings.state(drawn, &place);
            }
            return;
        }
    };
    let given = match stated {
        Some(stated) => format!("{INSUNITS} {stated}"),
        None => format!("no {INSUNITS}"),
    };
    ledger.add(
        Fault::new(Code::Units, &place, message)
            .given(given)
            .accepted("a drawing in feet or metres, or `units` = \"ft\" or \"m\" in the settings for one without units"),
    );
}

/// Entities of the section ENTITIES; vertices and attributes are put into what they belong to.
fn entities(pairs: Vec<Pair<'_>>) -> Vec<Entity<'_>> {
    let mut all: Vec<Entity<'_>> = Vec::new();
    let mut section = "";
    let mut named = false;
    for pair in pairs {
        match (pair.code, pair.value) {
            (0, "SECTION") => named = true,
            (0, "ENDSEC" | "EOF") => section = "",
            (2, name) if named => {
                section = name;
                named = false;
            }
            (0, "VERTEX" | "ATTRIB" | "SEQEND") if section == "ENTITIES" => {
                if let Some(entity) = all.last_mut() {
                    entity.pairs.push(pair);
                }
            }
            (0, kind) if section == "ENTITIES" => all.push(Entity {
                kind,
                line: pair.line,
                pairs: Vec::new(),
            }),
            _ if section == "ENTITIES" => {
                if let Some(entity) = all.last_mut() {
                    entity.pairs.push(pair);
                }
            }
            _ => {}
        }
    }
    all
}

impl<'a> Entity<'a> {
    /// First value of a code, before any part of the entity.
    fn text(&self, code: i32) -> Option<&'a str> {
        self.pairs
            .iter()
            .take_while(|pair| pair.code != 0)
            .find(|pair| pair.code == code)
            .map(|pair| pair.value)
    }
    fn number(&self, code: i32) -> Option<f64> {
        self.text(code)?.parse().ok()
    }
    fn point(&self, code: i32) -> Option<Coord<f64>> {
        Some(Coord {
            x: self.number(code)?,
            y: self.number(code + 10)?,
        })
    }
    /// Tag and value of every attribute, tags in lower case.
    fn attributes(&self) -> Vec<(String, String)> {
        self.parts("ATTRIB")
            .filter_map(|part| {
                let value = |code: i32| {
                    part.iter()
                        .find(|pair| pair.code == code)
                        .map(|pair| pair.value)
                };
                Some((value(2)?.to_lowercase(), value(1)?.to_owned()))
            })
            .collect()
    }
    /// The value of an attribute TAG.
    fn attribute(&self) -> Option<String> {
        self.attributes()
            .into_iter()
            .find(|(tag, _)| tag == "tag")
            .map(|(_, value)| value)
    }
    fn parts(&self, kind: &'static str) -> impl Iterator<Item = &[Pair<'a>]> {
        self.pairs
            .chunk_by(|_, next| next.code != 0)
            .filter(move |part| {
                part.first()
                    .is_some_and(|pair| pair.code == 0 && pair.value == kind)
            })
    }

    fn shape(&self, words: &Words) -> Option<Shape> {
        let closed = self.number(70).is_some_and(|flags| flags as i64 & 1 == 1);
        match self.kind {
            "POINT" | "INSERT" => self.point(10).map(Shape::Point),
            "CIRCLE" => self.circle(words),
            "LINE" => Some(Shape::Line(vec![self.point(10)?, self.point(11)?])),
            "LWPOLYLINE" => {
                let parts: Vec<&[Pair<'_>]> =
                    self.pairs.chunk_by(|_, next| next.code != 10).collect();
                let corners = parts
                    .into_iter()
                    .filter(|part| part.first().is_some_and(|pair| pair.code == 10));
                course(corners.filter_map(corner).collect(), closed)
            }
            "POLYLINE" => course(self.parts("VERTEX").filter_map(corner).collect(), closed),
            _ => None,
        }
    }

    /// A circle is an area, or a point with a radius.
    fn circle(&self, words: &Words) -> Option<Shape> {
        let (centre, radius) = (self.point(10)?, self.number(40)?);
        if matches!(
            words.get("is").map(String::as_str),
            Some("fixture" | "site")
        ) {
            return Some(Shape::Point(centre));
        }
        let ring = (0..=ROUND).map(|corner| {
            let angle = std::f64::consts::TAU * f64::from(corner % ROUND) / f64::from(ROUND);
            centre
                + Coord {
                    x: radius * angle.cos(),
                    y: radius * angle.sin(),
                }
        });
        Some(Shape::Area(vec![ring.collect()]))
    }
}

/// A corner of a polyline and the bulge of the edge after it.
fn corner(part: &[Pair<'_>]) -> Option<(Coord<f64>, f64)> {
    let number = |code: i32| {
        part.iter()
            .find(|pair| pair.code == code)?
            .value
            .parse()
            .ok()
    };
    let at = Coord {
        x: number(10)?,
        y: number(20)?,
    };
    Some((at, number(42).unwrap_or(0.0)))
}

/// A polyline with its arcs drawn as short edges.
fn course(corners: Vec<(Coord<f64>, f64)>, closed: bool) -> Option<Shape> {
    let mut points = Vec::new();
    for (number, &(from, bulge)) in corners.iter().enumerate() {
        points.push(from);
        let next = match corners.get(number + 1) {
            Some(next) => next.0,
            None if closed => corners[0].0,
            None => break,
        };
        points.extend(arc(from, next, bulge));
    }
    if closed {
        points.push(*points.first()?);
    }
    (points.len() > 1).then_some(if closed {
        Shape::Area(vec![points])
    } else {
        Shape::Line(points)
    })
}

/// Points inside an arc whose bulge is the tangent of a quarter of its angle.
fn arc(from: Coord<f64>, to: Coord<f64>, bulge: f64) -> Vec<Coord<f64>> {
    if bulge == 0.0 || from == to || !bulge.is_finite() {
        return Vec::new();
    }
    let angle = 4.0 * bulge.atan();
    let chord = to - from;
    let middle = (from + to) / 2.0;
    // Centre of the circle: off the middle of the chord by (1 - b²) / 4b of it, to the left.
    let lift = (1.0 - bulge * bulge) / (4.0 * bulge);
    let centre = middle
        + Coord {
            x: -chord.y,
            y: chord.x,
        } * lift;
    let spoke = from - centre;
    let steps = (angle.abs() / ARC_STEP).ceil() as u32;
    (1..steps)
        .map(|step| {
            let turn = angle * f64::from(step) / f64::from(steps);
            let (sine, cosine) = turn.sin_cos();
            centre
                + Coord {
                    x: spoke.x * cosine - spoke.y * sine,
                    y: spoke.x * sine + spoke.y * cosine,
                }
        })
        .collect()
}

/// Puts lines of one layer that follow each other end to start into one course.
fn join_lines(features: &mut Vec<Feature>) {
    let mut joined: Vec<Feature> = Vec::new();
    for feature in features.drain(..) {
        if let Shape::Line(course) = &feature.shape
            && let Some(last) = joined.last_mut()
            && last.place.layer == feature.place.layer
            && let Shape::Line(before) = &mut last.shape
            && before.last() == course.first()
            && before.first() != before.last()
        {
            before.extend(course.iter().skip(1));
            continue;
        }
        joined.push(feature);
    }
    *features = joined;
}
