'use strict';
(() => {
const data = JSON.parse(document.getElementById('data').textContent);
const one = (what, within) => (within || document).querySelector(what);
const all = (what, within) => Array.from((within || document).querySelectorAll(what));
const id = name => document.getElementById(name);
const say = (key, put) => (data.words[key] || '').replace(/\{(\w+)\}/g, (_, name) => put[name]);

// What is kept: in this browser, under the code of this file. Pages on a disk share one store.
const kept = data.code + '/';
const load = key => {
  try { return JSON.parse(localStorage.getItem(kept + key)); } catch { return null; }
};
const save = (key, value) => {
  try {
    if (value === null) localStorage.removeItem(kept + key);
    else localStorage.setItem(kept + key, JSON.stringify(value));
  } catch { id('unkept').hidden = false; }
};
const keys = () => {
  try { return Object.keys(localStorage).filter(k => k.startsWith(kept)).map(k => k.slice(kept.length)); } catch { return []; }
};
const session = {
  get open() { try { return sessionStorage.getItem(kept + 'open') === '1'; } catch { return this.own === true; } },
  set open(value) { this.own = value; try { sessionStorage.setItem(kept + 'open', value ? '1' : '0'); } catch { /* the page remembers */ } },
};

// Where we are: side, way round, visit. It stands in the address, so a reload and the back button find it again.
let view = { side: 'start', way: 0, visit: 0 };
const alone = data.ways.length === 0;
const round = data.visits.map(([station, call, cells]) => {
  const planned = {}, [clock, bells] = data.calls[call];
  cells.forEach((cell, n) => { planned[data.columns[n]] = data.cells[cell]; });
  return { station, clock, bells, planned, key: planned.candidate + '/' + planned.station_code };
});
const visits = way => alone
  ? Array.from({ length: load('people') || 1 }, (_, n) => ({ station: 0, bells: data.alone, key: String(n + 1), planned: {} }))
  : data.ways[way].visits.map(n => round[n]);
const candidates = way => !alone && data.ways[way].part === 'candidate';
const here = () => visits(view.way)[view.visit];
const address = (side, way, visit) => '#' + [side, way, visit].join('/');
const readAddress = () => {
  const [side, way, visit] = location.hash.slice(1).split('/');
  const sides = ['start', 'candidate', 'examiner', 'close'];
  const number = (text, most, other) => {
    const n = Number(text === undefined || text === '' ? other : text);
    return Number.isInteger(n) && n >= 0 && n < most ? n : 0;
  };
  view.side = sides.includes(side) ? side : 'start';
  view.way = number(way, Math.max(1, data.ways.length), view.way);
  view.visit = number(visit, visits(view.way).length, view.visit);
};
const go = (side, visit) => { location.hash = address(side, view.way, visit === undefined ? view.visit : visit); };

// The clock: seconds since the first bell; stopped it stands still.
const clock = () => load('clock');
const since = () => {
  const c = clock();
  if (!c) return null;
  return (c.stood === undefined ? Date.now() - c.zero : c.stood) / 1000;
};
const set = seconds => save('clock', { zero: Date.now() - seconds * 1000 });
const minutes = s => {
  const whole = Math.max(0, Math.ceil(s));
  return Math.floor(whole / 60) + ':' + String(whole % 60).padStart(2, '0');
};
const phase = (visit, t) => {
  const b = visit.bells;
  if (t === null) return ['before', (b.begin > b.read ? b.begin : b.stop) - b.read];
  if (t < b.read) return ['wait', b.read - t];
  if (t < b.begin) return [visit.station === null ? 'rest' : 'read', b.begin - t];
  if (t < b.stop) return [visit.station === null ? 'rest' : t < b.warn ? 'inside' : 'warn', b.stop - t];
  return ['over', 0];
};
// One long: read; one short: go in; two short: warning; one long: stop.
const patterns = { read: [1], begin: [0.3], warn: [0.3, 0.3], stop: [1] };
let sounds = null;
const ring = bell => {
  if (!id('sound').checked || !sounds) return;
  let at = sounds.currentTime;
  for (const length of patterns[bell]) {
    const tone = sounds.createOscillator(), volume = sounds.createGain();
    tone.frequency.value = 660;
    volume.gain.value = 0.2;
    tone.connect(volume).connect(sounds.destination);
    tone.start(at);
    tone.stop(at + length);
    at += length + 0.2;
  }
};
const wake = () => {
  try { sounds = sounds || new AudioContext(); } catch { sounds = null; }
  if (sounds && sounds.state === 'suspended') sounds.resume();
};
const bells = visit => {
  const b = visit.bells;
  const rung = [[b.read, 'read'], [b.stop, 'stop']];
  if (b.begin > b.read && visit.station !== null) rung.push([b.begin, 'begin']);
  if (b.warn < b.stop && visit.station !== null) rung.push([b.warn, 'warn']);
  return rung;
};
const current = t => {
  const way = visits(view.way);
  if (alone) return view.visit;
  let at = 0;
  way.forEach((v, n) => { if (t !== null && v.bells.read <= t) at = n; });
  return at;
};
let last = null, lastPhase = '', lastCurrent = null;
const tick = () => {
  const t = since(), visit = here();
  if (!visit) return;
  const running = clock() !== null && clock().stood === undefined;
  const [name, left] = phase(visit, t);
  show('go', t === null);
  show('pause', running);
  show('on', t !== null && !running);
  const time = minutes(left), said = say(name, {});
  write('phase', said);
  write('left', name === 'over' ? '' : time);
  write('in', t !== null && t >= visit.bells.begin && t < visit.bells.stop && visit.station !== null ? say('in', { time: minutes(Math.floor(t - visit.bells.begin)) }) : '');
  id('clock').dataset.phase = name;
  if (name !== lastPhase) {
    lastPhase = name;
    if (t !== null) write('said', said);
  }
  // Bells that passed while the page slept are not rung after it.
  if (running && last !== null && t > last && t - last < 5) {
    const rung = visits(view.way).flatMap(bells).filter(([at]) => at > last && at <= t);
    if (rung.length) ring(rung[rung.length - 1][1]);
  } else if (running && last === null && t < 1) ring('read');
  last = running ? t : null;
  due(t, visit);
  const now = current(t);
  if (!alone) {
    write('where', say('where', visit.planned));
    const next = visits(view.way)[now], behind = t !== null && now !== view.visit && inside();
    show('onward', behind);
    const link = one('#onward a');
    link.href = address('examiner', view.way, now);
    const text = behind ? say('onward', next.planned) : '';
    if (link.textContent !== text) link.textContent = text;
  }
  if (lastCurrent !== null && now !== lastCurrent && view.visit === lastCurrent && view.side === 'candidate') go('candidate', now);
  if (now !== lastCurrent) { lastCurrent = now; route(); }
};
const write = (name, text) => { const e = id(name); if (e.textContent !== text) e.textContent = text; };
const show = (name, yes) => { const e = id(name); if (e.hidden === yes) e.hidden = !yes; };
const due = (t, visit) => {
  const side = shown();
  if (view.side !== 'examiner' || !side || visit.station === null) return;
  const at = t === null ? -1 : t - visit.bells.begin;
  data.stations[visit.station].questions.forEach((q, n) => {
    const section = all('.q', side)[n], now = at >= q.from && at < q.from + q.seconds;
    section.classList.toggle('due-now', now);
    one('.now', section).hidden = !now;
  });
};

// What an examiner wrote of a visit.
const blank = () => ({ field: {}, prompts: {}, ticks: {}, half: {}, replies: {}, by: {}, danger: {}, back: false, rating: null, closed: false });
const record = visit => Object.assign(blank(), load('mark/' + visit.key));
const keep = (visit, r) => save('mark/' + visit.key, r);
const used = (r, q, n) => {
  const heard = Object.keys(r.replies).some(k => k.startsWith(n + '.') && r.replies[k]);
  const free = q.caps.length > 0 && q.caps[0][0] === 'C';
  return Math.max(r.prompts[n] || 0, heard && free ? 1 : 0);
};
const most = (r, q, n) => { const k = used(r, q, n); return k ? q.caps[k - 1][1] : q.marks; };
const ticked = (r, q, n) => {
  let sum = 0;
  q.groups.forEach(([choose, points], g) => {
    const won = points.map((marks, p) => {
      const key = n + '.' + g + '.' + p;
      return r.ticks[key] ? (r.half[key] ? marks / 2 : marks) : 0;
    }).sort((a, b) => b - a);
    sum += won.slice(0, choose === null ? won.length : choose).reduce((a, b) => a + b, 0);
  });
  return sum;
};
const mark = (r, q, n) => Math.min(most(r, q, n), r.by[n] === undefined ? ticked(r, q, n) : r.by[n]);
const halves = value => Number.isInteger(value) ? String(value) : (value > 1 ? Math.floor(value) : '') + '\u00bd';
const total = (r, station) => station.questions.reduce((sum, q, n) => sum + mark(r, q, n), 0);
const prompt = (r, q, n) => { const k = used(r, q, n); return k ? q.caps[k - 1][0] : ''; };
const dangerous = r => Object.values(r.danger).some(Boolean) && !r.back;

// What the sides of all stations have in common stands once in the page and is put into each.
const copy = name => id(name).content.cloneNode(true);
const box = (p, type, name, value) => {
  const label = document.createElement('label'), input = document.createElement('input');
  input.type = type;
  if (name) input.dataset[name] = value;
  else input.value = value;
  label.append(input, ' ', ...p.childNodes);
  p.append(label);
  if (!p.className) p.className = 'point';
  return input;
};
const prompts = (list, q) => {
  list.className = 'prompts';
  list.setAttribute('aria-label', say('stuck', {}));
  all('li', list).forEach((li, n) => {
    const put = copy('prompt'), button = one('button', put), [rung, cap] = q.caps[n];
    button.textContent = say('prompt', { prompt: rung, most: halves(cap) });
    one('.words', put).append(...li.childNodes);
    li.dataset.prompt = n;
    li.append(put);
  });
  list.after(copy('back'));
};
const questions = (section, n, q) => {
  const head = one('h2', section), put = copy('head'), number = say('question', { number: n + 1 });
  q.opening = one('.say', section).textContent.slice(1, -1);
  section.dataset.q = n;
  section.setAttribute('aria-label', number);
  one('.no', put).textContent = number;
  one('.due', put).textContent = head.textContent;
  head.replaceChildren(put);
  all('ol', section).forEach(list => prompts(list, q));
  all('fieldset', section).forEach((set, g) => all('p', set).forEach((p, k) => {
    const text = p.textContent, half = copy('half'), at = g + '.' + k;
    box(p, 'checkbox', 'point', at);
    if (q.groups[g][1][k] < 2) return;
    one('input', half).dataset.half = at;
    one('.unseen', half).textContent = ': ' + text;
    p.append(' ', half);
  }));
  all('.often', section).forEach((p, k) => box(p, 'checkbox', 'reply', k));
  const earned = copy('earned');
  one('.unseen', earned).textContent = ' ' + (n + 1);
  one('.of', earned).textContent = '/' + q.marks;
  section.append(earned);
};
const dress = side => {
  const n = side.dataset.station;
  one('.answer', side).after(copy('who'));
  one('.ask', side).prepend(copy('prompting'));
  all('.q', side).forEach((section, q) => questions(section, q, data.stations[n].questions[q]));
  all('.danger > p', side).forEach((p, k) => box(p, 'checkbox', 'danger', k));
  all('.second', side).forEach(second => second.append(copy('taken')));
  const rating = one('.rating', side);
  all('p', rating).forEach((p, k) => { box(p, 'radio', '', k).name = 'rating' + n; });
  rating.before(copy('notes'));
  side.append(copy('end'));
};
all('.examiner').forEach(dress);
all('.close').forEach(side => one('h1', side).after(copy('result')));

// The sides.
const inside = () => view.side === 'examiner' || view.side === 'close';
const shown = () => one('.side:not([hidden])');
const article = (side, station) => one('.' + side + '[data-station="' + station + '"]');
const route = () => {
  const before = view.side + view.visit;
  readAddress();
  const visit = here();
  let target;
  if (view.side === 'start') target = id('start');
  else if (inside() && !session.open) target = id('gate');
  else if (visit.station === null) target = id('rest');
  else target = article(view.side, visit.station);
  if (view.side === 'close' && session.open && visit.station !== null && !closable(record(visit))) {
    target = article('examiner', visit.station);
    view.side = 'examiner';
  }
  const moved = target.hidden;
  all('#main > section, .side').forEach(e => { e.hidden = e !== target; });
  ['clock', 'bells'].forEach(e => show(e, view.side !== 'start' && view.side !== 'close'));
  all('nav a').forEach(a => {
    const side = a.hash.slice(1).split('/')[0];
    a.href = address(side, view.way, view.visit);
    if (side === (inside() ? 'examiner' : view.side)) a.setAttribute('aria-current', 'page');
    else a.removeAttribute('aria-current');
  });
  all('a.go, .out a').forEach(a => { a.href = address(a.hash.slice(1).split('/')[0], view.way, view.visit); });
  fill();
  if (before !== view.side + view.visit || moved) {
    const head = one('h1', target);
    if (head && lastPhase !== '') { head.tabIndex = -1; head.focus({ preventScroll: true }); scrollTo(0, 0); }
  }
};
const fill = () => {
  if (view.side === 'start') return start();
  const side = shown(), visit = here();
  if (!side || visit.station === null) return;
  if (view.side === 'candidate') drawings(side, visit);
  if (view.side === 'examiner') examiner(side, visit);
  if (view.side === 'close') close(side, visit);
};
const start = () => {
  const table = id('route');
  if (!table) return;
  id('way').value = view.way;
  const now = current(since());
  const rows = visits(view.way).map((v, n) => {
    const row = document.createElement('tr'), cells = [v.clock, v.planned.position, v.planned.candidate];
    const r = v.station === null ? null : load('mark/' + v.key);
    cells.push(r && (r.closed || r.field.status) ? '\u2713' : '');
    cells.forEach((text, c) => {
      const cell = document.createElement(c ? 'td' : 'th');
      if (!c) {
        cell.scope = 'row';
        const link = document.createElement('a');
        link.href = address(candidates(view.way) ? 'candidate' : 'examiner', view.way, n);
        link.textContent = text;
        cell.append(link);
      } else cell.textContent = text || '';
      row.append(cell);
    });
    if (n === now && clock()) row.setAttribute('aria-current', 'true');
    return row;
  });
  one('tbody', table).replaceChildren(...rows);
};

// The examiner's side shows the record; what is changed changes the record first.
const closable = r => r.rating !== null || Boolean(r.field.status);
const examiner = (side, visit) => {
  const r = record(visit), station = data.stations[visit.station];
  all('[data-field]', side).forEach(e => {
    const own = e.dataset.field, value = r.field[own] === undefined ? visit.planned[own] || '' : r.field[own];
    if (e !== document.activeElement && e.value !== value) e.value = value;
    if (own === 'candidate' && !alone) e.readOnly = true;
  });
  station.questions.forEach((q, n) => {
    const section = all('.q', side)[n], k = used(r, q, n);
    all('[data-prompt]', section).forEach((li, p) => {
      li.hidden = p > k;
      one('button', li).hidden = p !== k;
      one('.words', li).hidden = p >= k;
    });
    const back = one('.back', section);
    if (back) back.hidden = !(r.prompts[n] > 0);
    all('[data-point]', section).forEach(box => { box.checked = Boolean(r.ticks[n + '.' + box.dataset.point]); });
    all('[data-half]', section).forEach(box => {
      const key = n + '.' + box.dataset.half;
      box.checked = Boolean(r.half[key]);
      box.parentElement.hidden = !r.ticks[key];
    });
    all('[data-reply]', section).forEach(box => { box.checked = Boolean(r.replies[n + '.' + box.dataset.reply]); });
    const field = one('[data-mark]', section), cap = most(r, q, n);
    field.max = cap;
    if (field !== document.activeElement) field.value = mark(r, q, n);
    one('.most', section).textContent = k ? say('most', { prompt: prompt(r, q, n), most: halves(cap) }) : '';
    one('[data-ticked]', section).hidden = r.by[n] === undefined;
  });
  all('[data-danger]', side).forEach(box => { box.checked = Boolean(r.danger[box.dataset.danger]); });
  const second = one('.second', side);
  if (second) {
    second.hidden = !Object.values(r.danger).some(Boolean);
    one('[data-back-taken]', side).checked = r.back;
  }
  // Once the total was shown the rating stands: it was given without it.
  all('[type=radio]', side).forEach(box => {
    box.checked = r.rating === Number(box.value);
    box.disabled = r.closed;
  });
  if (closable(r)) one('[data-first]', side).hidden = true;
  mirror(side, visit);
};
const changed = event => {
  const side = shown(), e = event.target, visit = here();
  if (!side || view.side !== 'examiner' || !visit || visit.station === null) return;
  const r = record(visit), section = e.closest('.q'), n = section ? section.dataset.q : '';
  if (e.dataset.field) r.field[e.dataset.field] = e.value;
  else if (e.dataset.point) r.ticks[n + '.' + e.dataset.point] = e.checked;
  else if (e.dataset.half) r.half[n + '.' + e.dataset.half] = e.checked;
  else if (e.dataset.reply) r.replies[n + '.' + e.dataset.reply] = e.checked;
  else if (e.dataset.danger) r.danger[e.dataset.danger] = e.checked;
  else if ('backTaken' in e.dataset) r.back = e.checked;
  else if (e.type === 'radio') r.rating = Number(e.value);
  else if ('mark' in e.dataset) {
    const value = Math.round(2 * Number(e.value)) / 2;
    if (e.value === '' || !(value >= 0)) delete r.by[n];
    else r.by[n] = value;
  } else return;
  // A point that is ticked anew is reckoned anew.
  if (e.dataset.point || e.dataset.half) delete r.by[n];
  keep(visit, r);
  examiner(side, visit);
};
const pressed = event => {
  const e = event.target.closest('button'), side = shown(), visit = here();
  if (!e || !side || !visit || visit.station === null) return;
  const r = record(visit), section = e.closest('.q');
  if (section) {
    const n = Number(section.dataset.q), q = data.stations[visit.station].questions[n];
    if ('open' in e.dataset) r.prompts[n] = used(r, q, n) + 1;
    else if ('back' in e.dataset) r.prompts[n] -= 1;
    else if ('ticked' in e.dataset) delete r.by[n];
    else return;
    keep(visit, r);
    examiner(side, visit);
    if ('open' in e.dataset) {
      const words = all('.words', section)[r.prompts[n] - 1];
      write('said', words.textContent);
    }
    // Nobody who works by keys is left nowhere when a button goes away.
    if (e.hidden || e.parentElement.hidden) (one('[data-open]:not([hidden])', section) || one('[data-point]', section)).focus();
  } else if ('close' in e.dataset) {
    if (!closable(r)) {
      one('[data-first]', side).hidden = false;
      one('[type=radio]', side).focus();
      return;
    }
    r.closed = r.rating !== null;
    keep(visit, r);
    go('close');
  } else if ('shut' in e.dataset) {
    session.open = false;
    go('candidate');
  } else if ('csv' in e.dataset) download();
  else if ('print' in e.dataset) print();
  else if ('next' in e.dataset) {
    save('people', visits(0).length + 1);
    save('clock', null);
    session.open = false;
    last = null;
    go('candidate', visits(0).length - 1);
  } else if ('undo' in e.dataset || 'clear' in e.dataset) undo(e, visit);
};

// The result.
const close = (side, visit) => {
  const r = record(visit), station = data.stations[visit.station];
  const status = r.field.status, grade = r.rating === null ? '' : data.grades[r.rating];
  one('.sum', side).textContent = status ? say('status', { status: option(side, visit, status) })
    : say('sum', { total: halves(total(r, station)), of: station.total, grade });
  const rows = station.questions.map((q, n) => row([q.opening, q.domain, prompt(r, q, n) || '\u2013', halves(mark(r, q, n)) + '/' + q.marks]));
  one('.marks tbody', side).replaceChildren(...rows);
  const said = [];
  const tell = (what, text) => {
    if (!text) return;
    const dt = document.createElement('dt'), dd = document.createElement('dd');
    dt.textContent = what;
    dd.textContent = text;
    said.push(dt, dd);
  };
  const sheet = article('examiner', visit.station);
  tell(label(sheet, 'candidate'), own(r, visit, 'candidate'));
  tell(label(sheet, 'examiner'), own(r, visit, 'examiner'));
  const ticked = all('[data-danger]', sheet).filter(box => r.danger[box.dataset.danger]).map(box => box.parentElement.textContent.trim());
  tell(say('danger', {}), ticked.join('; ') + (ticked.length && r.back ? ' ' + say('back', {}) : ''));
  for (const field of ['words', 'notes', 'comment']) tell(label(sheet, field), r.field[field]);
  one('.said', side).replaceChildren(...said);
  const lost = station.questions.map((q, n) => ({ q, lost: q.marks - mark(r, q, n) })).filter(l => l.lost > 0).sort((a, b) => b.lost - a.lost).slice(0, 3);
  one('.practise', side).replaceChildren(...lost.map(l => {
    const li = document.createElement('li');
    li.textContent = say('lost', { domain: l.q.domain, opening: l.q.opening, lost: halves(l.lost), of: l.q.marks });
    return li;
  }));
  one('.again', side).textContent = station.begin_again;
  one('.csv', side).value = csv();
};
const own = (r, visit, field) => r.field[field] === undefined ? visit.planned[field] || '' : r.field[field];
const label = (sheet, field) => { const e = one('[data-field=' + field + ']', sheet); return e ? e.parentElement.textContent.trim() : ''; };
const option = (side, visit, status) => one('[data-field=status] [value=' + status + ']', article('examiner', visit.station)).textContent;
const row = cells => {
  const tr = document.createElement('tr');
  cells.forEach((text, c) => {
    const cell = document.createElement(c ? 'td' : 'th');
    if (!c) cell.scope = 'row';
    cell.textContent = text;
    tr.append(cell);
  });
  return tr;
};

// The mark sheet: a line for each visit with a rating or a status, in the columns of the circuit's own.
const csv = () => {
  const lines = [data.columns], met = new Set();
  const ways = alone ? [visits(0)] : data.ways.map((_, w) => visits(w));
  for (const visit of ways.flat()) {
    if (visit.station === null || met.has(visit.key)) continue;
    met.add(visit.key);
    const r = record(visit);
    if (closable(r)) lines.push(line(r, visit));
  }
  const own = lines.map(l => l.map(cell => /[",\r\n]/.test(cell) ? '"' + cell.replace(/"/g, '""') + '"' : cell).join(','));
  const others = load('others') || {}, mine = new Set(own.map(seat));
  return own.concat(Object.keys(others).filter(key => !mine.has(key)).map(key => others[key])).join('\r\n') + '\r\n';
};
// Candidate and station of a line, which are ids without commas.
const seat = text => { const cells = text.split(','); return cells[0] + '/' + cells[data.columns.indexOf('station_code')]; };
const gather = event => {
  const side = shown(), told = one('[data-gathered]', side);
  Promise.all(Array.from(event.target.files, file => file.text().then(text => [file.name, text]))).then(files => {
    const others = load('others') || {};
    let lines = 0, fault = '';
    for (const [file, text] of files) {
      const [head, ...rows] = text.replace(/^\ufeff/, '').split(/\r?\n/).filter(Boolean);
      if (head !== data.columns.join(',')) fault = say('no_table', { file });
      else rows.forEach(row => { others[seat(row)] = row; lines += 1; });
    }
    if (!fault) save('others', others);
    told.textContent = fault || say('gathered', { lines });
    told.hidden = false;
    one('.csv', side).value = csv();
  });
};
const line = (r, visit) => {
  const station = data.stations[visit.station], present = !r.field.status;
  const cells = Object.assign({ station_code: station.code, max_marks: String(station.total) }, visit.planned);
  cells.candidate = own(r, visit, 'candidate').trim() || visit.key;
  cells.examiner = own(r, visit, 'examiner').trim();
  cells.status = r.field.status || '';
  cells.comment = (r.field.comment || '').replace(/\s+/g, ' ').trim();
  if (present) {
    cells.marks = String(total(r, station));
    cells.global_rating = data.grades[r.rating] || '';
    cells.danger = dangerous(r) ? 'yes' : '';
  }
  return data.columns.map(name => {
    const q = /^q(\d+)(_prompt)?$/.exec(name);
    if (!q) return cells[name] || '';
    const n = Number(q[1]) - 1, question = station.questions[n];
    if (!question) return data.no_question;
    if (!present) return '';
    return q[2] ? prompt(r, question, n) : String(mark(r, question, n));
  });
};
const download = () => {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([csv()], { type: 'text/csv' }));
  link.download = data.code + '-marks.csv';
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
};

// Drawing: strokes as whole numbers in the units of the picture.
const surfaces = side => all('.blank', side);
const path = points => points.reduce((d, _, i) => i % 2 ? d : d + (i ? 'L' : 'M') + points[i] + ' ' + points[i + 1], '') + (points.length === 2 ? 'l1 0' : '');
const paint = (svg, strokes) => {
  all('.stroke', svg).forEach(e => e.remove());
  strokes.forEach(points => add(svg, points));
};
const add = (svg, points) => {
  const e = document.createElementNS(svg.namespaceURI, 'path');
  e.setAttribute('class', 'stroke');
  e.setAttribute('d', path(points));
  svg.append(e);
  return e;
};
const drawn = visit => Object.assign({ strokes: {}, words: '' }, load('drawn/' + visit.key));
const drawings = (side, visit) => {
  const d = drawn(visit);
  surfaces(side).forEach((surface, n) => paint(one('svg', surface), d.strokes[n] || []));
  all('[data-draw-words]', side).forEach(e => { if (e !== document.activeElement) e.value = d.words; });
};
const mirror = (side, visit) => {
  const d = drawn(visit), box = one('.mirror', side);
  const found = surfaces(article('candidate', visit.station)).filter((_, n) => (d.strokes[n] || []).length);
  box.hidden = !found.length && !d.words;
  if (box.hidden) return;
  drawings(article('candidate', visit.station), visit);
  one('div', box).replaceChildren(...found.map(surface => {
    const copy = surface.cloneNode(true);
    ['tabindex', 'role', 'aria-label', 'aria-labelledby', 'aria-describedby'].forEach(a => copy.removeAttribute(a));
    all('.cross', copy).forEach(e => e.remove());
    return copy;
  }));
  one('.drawn-words', box).textContent = d.words;
};
const undo = (e, visit) => {
  const surface = e.closest('.tools').previousElementSibling, n = surfaces(shown()).indexOf(surface), d = drawn(visit);
  const own = d.strokes[n] || [];
  // What was wiped away comes back with the next step back.
  if ('clear' in e.dataset) { if (own.length) d.wiped = Object.assign({}, d.wiped, { [n]: own }); d.strokes[n] = []; }
  else if (own.length) own.pop();
  else if (d.wiped && d.wiped[n]) { d.strokes[n] = d.wiped[n]; delete d.wiped[n]; }
  save('drawn/' + visit.key, d);
  paint(one('svg', surface), d.strokes[n] || []);
};
const drawable = (surface, n) => {
  const svg = one('svg', surface), tools = copy('tools'), box = svg.viewBox.baseVal;
  const hint = one('.hint', tools);
  hint.id = 'hint' + surface.closest('.side').dataset.station + '-' + n;
  surface.after(tools);
  surface.tabIndex = 0;
  surface.setAttribute('role', 'application');
  const name = ['aria-labelledby', 'aria-label'].find(a => svg.hasAttribute(a));
  surface.setAttribute(name || 'aria-label', name ? svg.getAttribute(name) : say('surface', {}));
  surface.setAttribute('aria-describedby', hint.id);
  let points = null, element = null, cross = null, down = false, at = [box.width / 2, box.height / 2];
  const place = event => {
    const m = svg.getScreenCTM().inverse();
    return [event.clientX * m.a + m.e, event.clientY * m.d + m.f].map((v, i) => Math.round(Math.min(i ? box.height : box.width, Math.max(0, v))));
  };
  const begin = point => { points = point; element = add(svg, points); };
  const on = point => {
    const [x, y] = points.slice(-2);
    if (Math.abs(x - point[0]) + Math.abs(y - point[1]) < 6) return;
    points.push(...point);
    element.setAttribute('d', path(points));
  };
  const end = () => {
    if (!points) return;
    const d = drawn(here());
    d.strokes[n] = (d.strokes[n] || []).concat([points]);
    save('drawn/' + here().key, d);
    points = null;
  };
  svg.addEventListener('pointerdown', event => {
    if (event.button || !event.isPrimary) return;
    svg.setPointerCapture(event.pointerId);
    begin(place(event));
    event.preventDefault();
  });
  svg.addEventListener('pointermove', event => { if (points && event.isPrimary && !down) on(place(event)); });
  ['pointerup', 'pointercancel'].forEach(name => svg.addEventListener(name, () => { if (!down) end(); }));
  const mark = () => {
    if (!cross) {
      cross = document.createElementNS(svg.namespaceURI, 'path');
      cross.setAttribute('class', 'cross');
      svg.append(cross);
    }
    cross.setAttribute('d', 'M' + at[0] + ' ' + at[1] + 'm-40 0h80m-40-40v80');
  };
  surface.addEventListener('keydown', event => {
    const step = event.shiftKey ? 10 : 40;
    const way = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (way) {
      at = [Math.min(box.width, Math.max(0, at[0] + way[0])), Math.min(box.height, Math.max(0, at[1] + way[1]))].map(Math.round);
      if (down) on(at);
    } else if (event.key === ' ') {
      down = !down;
      if (down) begin(at.slice());
      else end();
      surface.classList.toggle('down', down);
      write('said', say(down ? 'pen_down' : 'pen_up', {}));
    } else return;
    event.preventDefault();
    mark();
  });
  surface.addEventListener('blur', () => {
    if (down) { down = false; end(); surface.classList.remove('down'); }
    if (cross) { cross.remove(); cross = null; }
  });
};

all('.candidate').forEach(side => surfaces(side).forEach(drawable));
id('main').addEventListener('change', event => { if (event.target.matches('[data-gather]')) gather(event); else changed(event); });
addEventListener('pointerdown', wake, { once: true });
id('main').addEventListener('input', event => { if (event.target.matches('textarea, input:not([type])')) changed(event); });
id('main').addEventListener('click', pressed);
all('[data-draw-words]').forEach(e => e.addEventListener('input', () => {
  const d = drawn(here());
  d.words = e.value;
  save('drawn/' + here().key, d);
}));
id('open').addEventListener('click', () => { session.open = true; route(); });
id('go').addEventListener('click', () => { wake(); set(0); tick(); id('pause').focus(); });
id('pause').addEventListener('click', () => { save('clock', { stood: since() * 1000 }); tick(); id('on').focus(); });
id('on').addEventListener('click', () => { wake(); set(since()); tick(); id('pause').focus(); });
id('skip').addEventListener('click', () => {
  wake();
  const t = since();
  const next = visits(view.way).flatMap(bells).map(([at]) => at).filter(at => at > (t === null ? 0 : t)).sort((a, b) => a - b)[0];
  if (next !== undefined) { last = next - 0.001; set(next); tick(); }
});
id('again').addEventListener('click', () => { save('clock', null); last = null; tick(); id('go').focus(); });
if (id('today')) id('today').addEventListener('click', () => {
  wake();
  const first = visits(view.way)[0];
  const [h, m, s] = first.clock.split(':').map(Number);
  save('clock', { zero: new Date().setHours(h, m, s || 0, 0) - first.bells.read * 1000 });
  tick();
});
id('sound').checked = load('sound') !== false;
id('sound').addEventListener('change', event => { wake(); save('sound', event.target.checked); });
if (id('way')) id('way').addEventListener('change', event => { location.hash = address('start', event.target.value, 0); });
id('forget').addEventListener('click', () => {
  if (!confirm(say('forget', {}))) return;
  keys().forEach(key => save(key, null));
  session.open = false;
  last = null;
  location.hash = address('start', 0, 0);
  route();
});
addEventListener('hashchange', () => { route(); tick(); });
// The other window of two changed something.
addEventListener('storage', () => { fill(); tick(); });
route();
tick();
setInterval(tick, 250);
})();
