//! Turns the bytes of a PDF into the pixels of its pages, by a renderer that shares no code with the writer. The one home of `hayro`.

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};

/// One page at 72 dpi: a pixel is a point, and the smallest type still leaves its mark.
#[derive(Clone, PartialEq, Eq)]
pub struct Ink {
    pub width: usize,
    pub height: usize,
    /// Row by row from the top: 0 is white paper, 255 is black.
    dark: Vec<u8>,
}

impl Ink {
    /// How dark a pixel is; outside the page there is nothing.
    pub fn at(&self, x: usize, y: usize) -> u8 {
        match x < self.width && y < self.height {
            true => self.dark[y * self.width + x],
            false => 0,
        }
    }

    /// The pixels that an area touches (left, top, right, bottom, in points), with their place.
    pub fn within(
        &self,
        (left, top, right, bottom): (f32, f32, f32, f32),
    ) -> impl Iterator<Item = (usize, usize, u8)> {
        let cut = |v: f32, most: usize| (v.max(0.0) as usize).min(most);
        let (from, to) = (cut(left.floor(), self.width), cut(right.ceil(), self.width));
        let rows = cut(top.floor(), self.height)..cut(bottom.ceil(), self.height);
        rows.flat_map(move |y| (from..to).map(move |x| (x, y, self.at(x, y))))
    }
}

/// All pages of a file.
pub fn rasterise(bytes: &[u8]) -> Vec<Ink> {
    let file = Pdf::new(bytes.to_vec()).unwrap_or_else(|e| panic!("no PDF: {e:?}"));
    let cache = RenderCache::new();
    let paper = PixmapSettings {
        bg_color: WHITE,
        ..PixmapSettings::default()
    };
    // Hinting moves stems to whole pixels; what is measured here is where the marks are.
    let exact = RenderSettings {
        hinting: false,
        ..RenderSettings::default()
    };
    file.pages()
        .iter()
        .map(|page| {
            let pixels = render(page, &cache, &InterpreterSettings::default(), &exact, &paper);
            Ink {
                width: usize::from(pixels.width()),
                height: usize::from(pixels.height()),
                dark: pixels
                    .data()
                    .iter()
                    .map(|p| 255 - ((u16::from(p.r) + u16::from(p.g) + u16::from(p.b)) / 3) as u8)
                    .collect(),
            }
        })
        .collect()
}
