//! Turns the paths of a picture into PDF operators.

use super::item::Drawing;
use super::style::round;
use printpdf::{
    Line, LineDashPattern, LineJoinStyle, LinePoint, Op, PaintMode, Point, Polygon, PolygonRing,
    Pt, WindingOrder,
};

/// The pen for drawings: without round joins a sharp bend would throw a spike.
pub fn pen() -> Op {
    Op::SetLineJoinStyle {
        join: LineJoinStyle::Round,
    }
}

/// The operators of one drawing on a page of this height in points, with the pen already set; dashes are undone again.
pub fn paint(drawing: &Drawing, page_height: f32) -> Vec<Op> {
    let mut ops = Vec::with_capacity(drawing.lines.len() + 2);
    if !drawing.dash.is_empty() {
        ops.push(Op::SetLineDashPattern {
            dash: LineDashPattern::new(0.0, &drawing.dash),
        });
    }
    for line in &drawing.lines {
        let points: Vec<LinePoint> = line
            .iter()
            .map(|&(x, y, bezier)| LinePoint {
                p: Point {
                    x: Pt(round(x)),
                    y: Pt(round(page_height - y)),
                },
                bezier,
            })
            .collect();
        let mode = match (drawing.fill.is_some(), drawing.stroke.is_some()) {
            (true, true) => PaintMode::FillStroke,
            (true, false) => PaintMode::Fill,
            (false, _) => {
                let line = Line {
                    points,
                    is_closed: drawing.closed,
                };
                ops.push(Op::DrawLine { line });
                continue;
            }
        };
        ops.push(Op::DrawPolygon {
            polygon: Polygon {
                rings: vec![PolygonRing { points }],
                mode,
                winding_order: WindingOrder::NonZero,
            },
        });
    }
    if !drawing.dash.is_empty() {
        ops.push(Op::SetLineDashPattern {
            dash: LineDashPattern::solid(),
        });
    }
    ops
}
