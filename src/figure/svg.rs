//! How does a picture stand in a file of its own? As SVG 1.1, with its title and description.

use super::shape::{Anchor, Figure, Label, PT, Path, PathEl, Shape};
use std::fmt::Write;

/// The figure as a whole SVG file. One unit is a millimetre. Text keeps its measured width in any font.
pub fn to_svg(figure: &Figure) -> String {
    let mut out = String::with_capacity(16 * 1024);
    let (width, height) = (number(figure.width_mm), number(figure.height_mm));
    // Writing to a String cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\" aria-labelledby=\"t d\">\n<title id=\"t\">{}</title>\n<desc id=\"d\">{}</desc>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n\
         <g stroke-linecap=\"butt\" stroke-linejoin=\"round\" font-family=\"'DejaVu Sans Condensed',Arial,Helvetica,sans-serif\">\n",
        escape(&figure.title),
        escape(&figure.alt)
    );
    for shape in &figure.shapes {
        match shape {
            Shape::Path(path) => write_path(&mut out, path),
            Shape::Label(label) => write_label(&mut out, label),
        }
    }
    out.push_str("</g>\n</svg>\n");
    out
}

fn write_path(out: &mut String, path: &Path) {
    out.push_str("<path d=\"");
    for element in path.line.iter() {
        write_element(out, element);
    }
    let fill = path.fill.map_or_else(|| "none".to_string(), colour);
    let _ = write!(out, "\" fill=\"{fill}\"");
    if let Some(stroke) = path.stroke {
        let _ = write!(
            out,
            " stroke=\"{}\" stroke-width=\"{}\"",
            colour(stroke.grey),
            number(stroke.width)
        );
        if !stroke.dash.is_empty() {
            let dashes: Vec<String> = stroke.dash.iter().map(|d| number(*d)).collect();
            let _ = write!(out, " stroke-dasharray=\"{}\"", dashes.join(" "));
        }
    }
    out.push_str("/>\n");
}

fn write_element(out: &mut String, element: PathEl) {
    let (letter, points) = match element {
        PathEl::MoveTo(to) => ('M', vec![to]),
        PathEl::LineTo(to) => ('L', vec![to]),
        PathEl::QuadTo(bend, to) => ('Q', vec![bend, to]),
        PathEl::CurveTo(out, back, to) => ('C', vec![out, back, to]),
        PathEl::ClosePath => ('Z', vec![]),
    };
    out.push(letter);
    for (i, point) in points.iter().enumerate() {
        let space = if i == 0 { "" } else { " " };
        let _ = write!(out, "{space}{} {}", number(point.x), number(point.y));
    }
}

fn write_label(out: &mut String, label: &Label) {
    let anchor = match label.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let weight = if label.bold {
        " font-weight=\"bold\""
    } else {
        ""
    };
    let _ = writeln!(
        out,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{weight} fill=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>",
        number(label.at.x),
        number(label.at.y),
        number(label.size * PT),
        colour(label.grey),
        number(label.width),
        escape(&label.text)
    );
}

/// At most three places, without trailing noughts.
fn number(value: f64) -> String {
    let thousandths = (value * 1000.0).abs();
    let (whole, part) = (thousandths.trunc(), thousandths.fract());
    // Whole numbers are written ten times as fast; what lies on the brink between two of them is left to the exact way.
    if whole < 1e9 && (part - 0.5).abs() > 1e-3 {
        let rounded = whole as u64 + u64::from(part > 0.5);
        return thousandths_text(value < 0.0, rounded);
    }
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

fn thousandths_text(negative: bool, thousandths: u64) -> String {
    let mut text = String::with_capacity(12);
    if negative && thousandths > 0 {
        text.push('-');
    }
    let _ = write!(text, "{}", thousandths / 1000);
    let mut rest = thousandths % 1000;
    if rest > 0 {
        text.push('.');
    }
    let mut place = 100;
    while rest > 0 {
        text.push(char::from(b'0' + (rest / place) as u8));
        rest %= place;
        place /= 10;
    }
    text
}

pub(super) fn colour(grey: f64) -> String {
    let level = (grey.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}

/// A text so that XML and HTML show it as it is, in an element or between double quotes.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Not allowed in XML 1.0 at all (section 2.2).
            c if c.is_control() && !matches!(c, '\n' | '\t') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The formatter of the standard library is the measure.
    #[test]
    fn numbers_are_those_of_the_formatter() {
        let slow = |value: f64| {
            let text = format!("{value:.3}");
            let text = text.trim_end_matches('0').trim_end_matches('.');
            String::from(if text == "-0" { "0" } else { text })
        };
        let mut value = -3.0_f64;
        while value < 210.0 {
            for v in [value, (value * 2000.0).round() / 2000.0, value.round()] {
                assert_eq!(number(v), slow(v), "{v:?}");
            }
            value += 0.003_711_3;
        }
        for v in [0.0, -0.0, -0.0004, 0.0005, 0.0625, 1e12, f64::NAN] {
            assert_eq!(number(v), slow(v), "{v:?}");
        }
    }
}
