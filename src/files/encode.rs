//! Turns the text of a YAML file into bytes that `files/ready.rs` reads without looking for its structure; used by the build.

use super::marks::{END, LIST, MAP, PLAIN, QUOTED};
use saphyr_parser::{Event, Parser, ScalarStyle};

/// The bytes of a text, in its order: a mark, then for a scalar its length (four bytes, the lowest first) and its text, for a list or
/// a map its parts and an end mark. `None` for a text with a mistake, or with anchors, tags or merged keys: that is read as YAML.
pub fn encode(text: &str) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(text.len());
    let mut documents = 0;
    for event in Parser::new_from_str(text) {
        match event.ok()?.0 {
            Event::Scalar(text, style, 0, None) => {
                if text == "<<" {
                    return None;
                }
                out.push(match style {
                    ScalarStyle::Plain => PLAIN,
                    _ => QUOTED,
                });
                out.extend(u32::try_from(text.len()).ok()?.to_le_bytes());
                out.extend(text.as_bytes());
            }
            Event::SequenceStart(0, None) => out.push(LIST),
            Event::MappingStart(0, None) => out.push(MAP),
            Event::SequenceEnd | Event::MappingEnd => out.push(END),
            Event::DocumentStart(_) => documents += 1,
            Event::StreamStart | Event::StreamEnd | Event::DocumentEnd | Event::Nothing => {}
            _ => return None,
        }
    }
    (documents == 1).then_some(out)
}
