//! The fan's curve and where it settles with each grille.

use std::io;

use maud::{Markup, html};

use crate::document::Material;
use crate::document::fan_chart::{Settled, chart};
use crate::document::ranking_part::place;
use crate::document::svg::figure;
use crate::document::words::cut;
use crate::fan::{Characteristic, FanBand};
use crate::report::{compact, harmless};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Widths and heights of the two forms of the chart, pixels.
const SIZES: [(&str, (u32, u32)); 2] = [("chart narrow", (360, 320)), ("chart wide", (860, 420))];

/// Most columns of a name in the legend.
const NAME: usize = 60;

/// The fan and where it settles.
pub(super) struct FanPart {
    name: String,
    /// Its curve, and others with the same two numbers.
    pub(super) band: FanBand,
    /// The bare fan and the ranked grilles, best first.
    pub(super) settled: Vec<Settled>,
    has_other_fans: bool,
}

impl FanPart {
    /// What there is to tell; nothing where a flow was given or the study is missing.
    pub(super) fn of(material: &Material<'_>) -> Option<Self> {
        let study = material.study?;
        let band = study.fan.supply.band()?;
        let path = material.ranking.air_path.as_ref();
        Some(Self {
            name: study.fan.name.clone(),
            settled: settled(material, &band.central),
            band,
            has_other_fans: path.is_some_and(|path| path.has_other_fans),
        })
    }

    /// The points whose way is drawn: the bare fan, the first and the last; with other fans in the PC case no way is a parabola.
    pub(super) fn lines(&self) -> Vec<&Settled> {
        let mut lines: Vec<&Settled> = Vec::new();
        if !self.has_other_fans {
            lines.extend(self.settled.first());
            lines.extend(self.settled.get(1));
            lines.extend(self.settled.last().filter(|_| self.settled.len() > 2));
        }
        lines
    }

    /// What the chart shows, for whoever cannot see it.
    pub(super) fn words(&self) -> String {
        let points = self.settled.iter().map(|point| {
            format!(
                "{} at {} m³/h and {} Pa",
                point.name,
                compact(point.flow),
                compact(point.pressure)
            )
        });
        harmless(&format!(
            "Chart of the fan's pressure over its flow, with the points where it settles: {}.",
            points.collect::<Vec<_>>().join("; ")
        ))
    }

    /// What its lines and points mean.
    pub(super) fn legend(&self) -> String {
        let names: Vec<String> = self
            .lines()
            .iter()
            .map(|point| cut(&point.name, NAME))
            .collect();
        let drawn = match names.as_slice() {
            [] => String::new(),
            [one] => format!(" Dashed: what the air path costs with {one} (system curve)."),
            [first @ .., last] => format!(
                " Dashed: what the air path costs (system curve) with {} and, steepest, with {last}.",
                first.join(", with ")
            ),
        };
        format!(
            "Line: fan {}, static pressure over flow{} Points: where it settles, the bare fan rightmost.{drawn}{}",
            cut(&self.name, NAME),
            if self.band.members.is_empty() {
                "."
            } else {
                "; pale: other curves with the same two numbers."
            },
            if drawn.is_empty() {
                ""
            } else {
                " Drawn as pressure over the square of the flow, through the point that was solved."
            }
        )
    }
}

/// Chart and table; nothing where a flow was given or the study is missing.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn fan(material: &Material<'_>) -> io::Result<Option<Markup>> {
    let Some(part) = FanPart::of(material) else {
        return Ok(None);
    };
    let alternative = part.words();
    let mut charts = Vec::new();
    for (class, size) in SIZES {
        let svg = chart(&part.band, &part.settled, &part.lines(), size)?;
        charts.push(figure(class, &svg, &alternative));
    }
    Ok(Some(html! {
        section #fan {
            h2 { "Where the fan settles" }
            p {
                "The fan makes less pressure the more air it moves (fan curve); the air path costs more pressure the more air goes through it. "
                "The fan settles where the two meet (operating point)."
            }
            figure {
                @for chart in &charts { (chart) }
                figcaption { (part.legend()) }
            }
            table.stack {
                caption { "Operating points" }
                thead { tr {
                    th scope="col" { "place" } th scope="col" { "grille" }
                    th.number scope="col" { "m³/h" } th.number scope="col" { "pressure of the fan, Pa" }
                } }
                tbody {
                    @for point in &part.settled {
                        tr {
                            td.short data-label="place" { (point.place) }
                            th scope="row" { (harmless(&point.name)) }
                            td.number data-label="m³/h" { (compact(point.flow)) }
                            td.number data-label="pressure of the fan, Pa" { (compact(point.pressure)) }
                        }
                    }
                }
            }
        }
    }))
}

fn settled(material: &Material<'_>, fan: &Characteristic) -> Vec<Settled> {
    let kept = material.ranking;
    let at = |flow: f64| fan.pressure(flow / CUBIC_METRES_PER_HOUR);
    let bare = kept.bare_flow_m3_per_h.map(|flow| Settled {
        place: "–".to_owned(),
        name: "the bare fan".to_owned(),
        flow: flow.value,
        pressure: at(flow.value),
    });
    let grilles = kept.grilles.iter().filter_map(|grille| {
        let flow = grille.flow_m3_per_h?.value;
        grille.rank?;
        Some(Settled {
            place: place(kept, grille),
            name: grille.name.clone(),
            flow,
            pressure: at(flow),
        })
    });
    bare.into_iter().chain(grilles).collect()
}
