//! How is a day planned again without moving anybody? Stations and seats of the earlier plan stay; absent, late and replaced are worked in.

use super::blueprint::{Blueprint, Exposure, Kept, KeptForm, KeptStation};
use super::choose::build_task::{task, with_nerve_limit};
use super::choose::mip::End;
use super::choose::{Assembly, Banked, Maker, again, cost, fits, repeats};
use super::plan::{Circuit, Made, helps};
use super::timetable::{Form, seat};
use crate::diagnostic::{Failure, Problem};

/// The circuit of an earlier plan with what has changed since.
///
/// # Errors
/// Exit code 1 when groups or route are not those of then, a station cannot be made as it was, no spare one is left, or people do not fit.
pub fn keep(
    maker: &Maker<'_>,
    blueprint: &Blueprint,
    kept: &Kept,
    exposure: &Exposure,
) -> Result<Circuit, Failure> {
    let tracks = seat(blueprint, Some(kept), kept.seed)?;
    let forms = forms(maker, blueprint, kept)?;
    let reading = usual_reading(blueprint, kept.calibration.as_ref());
    let wanted: Vec<(KeptStation, u32)> = kept
        .calibration
        .clone()
        .map(|s| (s, reading))
        .into_iter()
        .collect();
    let calibration = again(maker, &wanted)?.pop();
    let helps = helps(blueprint, &tracks);
    let bank: Vec<Banked> = forms
        .iter()
        .flat_map(|f| f.used().map(|(_, b)| b.clone()))
        .collect();
    let wanted = with_nerve_limit(blueprint, &bank);
    let (task, owners, _) = task(
        maker.limbs,
        blueprint,
        &bank,
        exposure,
        &wanted,
        &helps,
        kept.seed,
    );
    let mut from = 0;
    let mut chosen = Vec::new();
    for form in &forms {
        let to = from + form.used().count();
        let own = from..to;
        // A station that fits several sorts of position counts once.
        let mut items: Vec<usize> = (0..owners.len())
            .filter(|i| own.contains(&owners[*i]))
            .collect();
        items.dedup_by_key(|i| owners[*i]);
        chosen.push(items);
        from = to;
    }
    let cost = cost(&task, &chosen);
    Ok(Circuit {
        made: Made {
            repeats: repeats(&task, &chosen),
            bank: bank.len(),
            assembly: Assembly {
                forms: chosen,
                cost,
                bound: 0.0,
                end: End::Nodes,
                nodes: 0,
            },
            helps,
            wanted,
            kept: true,
            unprintable: Vec::new(),
        },
        blueprint: blueprint.clone(),
        seed: kept.seed,
        forms,
        tracks,
        calibration,
    })
}

fn usual_reading(blueprint: &Blueprint, station: Option<&KeptStation>) -> u32 {
    let shapes = blueprint.shapes();
    let own = shapes
        .iter()
        .find(|(shape, _)| station.is_some_and(|s| s.minutes == shape.minutes));
    own.or(shapes.first()).map_or(0, |(shape, _)| shape.reading)
}

/// The forms of then, with the spare stations that have to stand in.
fn forms(maker: &Maker<'_>, blueprint: &Blueprint, kept: &Kept) -> Result<Vec<Form>, Failure> {
    let mut problems = Vec::new();
    let mut wanted: Vec<(KeptStation, u32)> = Vec::new();
    let mut routes = Vec::new();
    for group in &blueprint.groups {
        let Some(form) = kept.forms.iter().find(|f| f.group == group.id) else {
            problems.push(
                Problem::new(format!("the kept circuit has no group {}", group.id))
                    .hint("leave the groups as they were, or plan the day anew without --keep"),
            );
            continue;
        };
        let mut own = 0;
        for position in &blueprint.positions {
            let Some(shape) = &position.station else {
                continue;
            };
            match form
                .stations
                .iter()
                .find(|(name, _)| *name == position.name)
            {
                Some((_, station)) => {
                    own += 1;
                    wanted.push((station.clone(), shape.reading));
                }
                None => problems.push(
                    Problem::new(format!(
                        "the kept circuit has no station {} in group {}",
                        position.name, group.id
                    ))
                    .hint("leave the route as it was, or plan the day anew without --keep"),
                ),
            }
        }
        for spare in &form.spares {
            wanted.push((spare.clone(), usual_reading(blueprint, Some(spare))));
        }
        routes.push((form, own));
    }
    if !problems.is_empty() {
        return Err(Failure::Content(problems));
    }
    let mut made = again(maker, &wanted)?.into_iter();
    let mut forms: Vec<Form> = Vec::new();
    for (form, own) in routes {
        let stations: Vec<Banked> = made.by_ref().take(own).collect();
        let spares: Vec<Banked> = made.by_ref().take(form.spares.len()).collect();
        forms.push(on_route(blueprint, form, stations, spares));
    }
    for &(group, position) in &blueprint.replaced {
        problems.extend(replace(blueprint, &mut forms, group, position));
    }
    match problems.is_empty() {
        true => Ok(forms),
        false => Err(Failure::Content(problems)),
    }
}

fn on_route(
    blueprint: &Blueprint,
    form: &KeptForm,
    stations: Vec<Banked>,
    spares: Vec<Banked>,
) -> Form {
    let mut stations = stations.into_iter();
    Form {
        stations: blueprint
            .positions
            .iter()
            .map(|p| p.station.as_ref().and_then(|_| stations.next()))
            .collect(),
        spares,
        replaced: form.replaced.clone(),
    }
}

/// Puts a spare station in the place of one that cannot be used.
fn replace(
    blueprint: &Blueprint,
    forms: &mut [Form],
    group: usize,
    position: usize,
) -> Option<Problem> {
    let form = forms.get_mut(group)?;
    let name = blueprint.name(position);
    if form.replaced.iter().any(|r| r == name) {
        return None;
    }
    let shape = blueprint.positions.get(position)?.station.as_ref()?;
    let Some(found) = form.spares.iter().position(|s| fits(s, shape)) else {
        let group = blueprint.groups.get(group).map_or("", |g| g.id.as_str());
        return Some(
            Problem::new(format!(
                "no spare station of group {group} fits position {name} ({} minutes, {} reading)",
                shape.minutes, shape.reading
            ))
            .hint("write `spares: 1` or more when the day is planned; else take the station out, and mark it void for everybody"),
        );
    };
    let spare = form.spares.remove(found);
    *form.stations.get_mut(position)? = Some(spare);
    form.replaced.push(name.to_string());
    None
}
