//! Turns the bytes of a PDF into the pixels of its pages, by a renderer that shares no code with the writer. The one home of `hayro`.

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};

/// Smoothing of an edge may leave so little darkness (of 255) where there is no mark; it counts as white.
const NOISE: u8 = 12;

/// One page at 72 dpi: a pixel is a point, and the smallest type still leaves its mark.
#[derive(Clone, PartialEq, Eq)]
pub struct Ink {
    pub width: usize,
    pub height: usize,
    /// Row by row from the top: 0 is white paper, 255 is black.
    dark: Vec<u8>,
}

/// Left, top, right, bottom in points.
pub type Area = (f32, f32, f32, f32);

impl Ink {
    /// `pixels` hold red, green, blue and opacity.
    fn new(width: usize, height: usize, pixels: &[u8]) -> Ink {
        let white = [255; 128];
        let mut dark = Vec::with_capacity(width * height);
        // Most of a page is white: whole pieces at a time, since the tests are built without optimising.
        for piece in pixels.chunks(white.len()) {
            if *piece == white[..piece.len()] {
                dark.resize(dark.len() + piece.len() / 4, 0);
                continue;
            }
            for p in piece.chunks_exact(4) {
                let light = (u16::from(p[0]) + u16::from(p[1]) + u16::from(p[2])) / 3;
                let depth = 255 - light as u8;
                dark.push(if depth > NOISE { depth } else { 0 });
            }
        }
        Ink {
            width,
            height,
            dark,
        }
    }

    /// The pieces of the pixel rows that an area touches: column and row of the first pixel, and the pixels.
    pub fn rows(
        &self,
        (left, top, right, bottom): Area,
    ) -> impl Iterator<Item = (usize, usize, &[u8])> {
        let cut = |v: f32, most: usize| (v.max(0.0) as usize).min(most);
        let to = cut(right.ceil(), self.width);
        let from = cut(left.floor(), self.width).min(to);
        let rows = cut(top.floor(), self.height)..cut(bottom.ceil(), self.height);
        rows.map(move |y| {
            (
                from,
                y,
                &self.dark[y * self.width + from..y * self.width + to],
            )
        })
    }

    /// Every pixel that an area touches.
    pub fn pixels(&self, area: Area) -> impl Iterator<Item = u8> {
        self.rows(area).flat_map(|(_, _, row)| row.iter().copied())
    }

    /// Column, row and darkness of the first pixel with ink.
    pub fn first_ink(&self, area: Area) -> Option<(usize, usize, u8)> {
        let white = vec![0; self.width];
        let (x, y, row) = self
            .rows(area)
            .find(|(_, _, row)| **row != white[..row.len()])?;
        let (n, dark) = row.iter().enumerate().find(|(_, dark)| **dark > 0)?;
        Some((x + n, y, *dark))
    }

    /// Takes the ink of an area away.
    pub fn whiten(&mut self, area: Area) {
        let width = self.width;
        let pieces: Vec<_> = self
            .rows(area)
            .map(|(x, y, row)| (y * width + x, row.len()))
            .collect();
        for (start, length) in pieces {
            self.dark[start..start + length].fill(0);
        }
    }

    /// The whole page.
    pub fn page(&self) -> Area {
        (0.0, 0.0, self.width as f32, self.height as f32)
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
            let pixels = render(
                page,
                &cache,
                &InterpreterSettings::default(),
                &exact,
                &paper,
            );
            let (width, height) = (usize::from(pixels.width()), usize::from(pixels.height()));
            Ink::new(width, height, pixels.data_as_u8_slice())
        })
        .collect()
}
