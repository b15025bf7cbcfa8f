//! A browser for tests: Debian's Chromium, spoken to over a pipe. JSON, each message ended by a NUL, on descriptors 3 and 4.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A page in a browser of its own. Scripts that fail, and what the security policy stops, fail the test.
pub struct Browser {
    child: Child,
    to: ChildStdin,
    from: Receiver<Value>,
    next: u64,
    session: Option<String>,
    profile: PathBuf,
    pub requests: Vec<String>,
    downloaded: bool,
}

const PATIENCE: Duration = Duration::from_secs(60);

/// Time that goes on when a test says so, and a loudspeaker that only notes down.
const STAND_INS: &str = "(() => {
    let shift = 0;
    const real = Date.now.bind(Date);
    Date.now = () => real() + shift;
    window.later = s => { shift += 1000 * s; };
    window.rung = [];
    window.AudioContext = class {
        constructor() { this.currentTime = 0; this.destination = {}; }
        createGain() { return { gain: {}, connect: to => to }; }
        createOscillator() {
            let from = 0;
            return { frequency: {}, connect: to => to, start: at => { from = at; }, stop: at => window.rung.push(Math.round(10 * (at - from)) / 10) };
        }
    };
})()";

impl Browser {
    /// `None` where no browser is installed; with VIVASMITH_NEEDS_BROWSER=1 that fails.
    pub fn start(name: &str) -> Option<Browser> {
        let there = Command::new("chromium")
            .arg("--version")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .is_ok_and(|s| s.success());
        if !there {
            assert!(
                std::env::var_os("VIVASMITH_NEEDS_BROWSER").is_none(),
                "no chromium is installed"
            );
            eprintln!("skipped: no chromium is installed");
            return None;
        }
        let profile =
            std::env::temp_dir().join(format!("vivasmith-browser-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&profile);
        // The shell gives the descriptors that the standard library cannot.
        let mut child = Command::new("sh")
            .args([
                "-c",
                "exec chromium \"$@\" 3<&0 4>&1 </dev/null >/dev/null 2>&1",
                "sh",
                "--headless",
                "--no-sandbox",
                "--disable-dev-shm-usage",
                "--remote-debugging-pipe",
            ])
            .arg(format!("--user-data-dir={}", profile.display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("a shell");
        let to = child.stdin.take().expect("a pipe");
        let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
        let (tell, from) = channel();
        std::thread::spawn(move || {
            loop {
                let mut bytes = Vec::new();
                match out.read_until(0, &mut bytes) {
                    Ok(1..) => {
                        bytes.pop();
                        let message = serde_json::from_slice(&bytes).expect("JSON");
                        if tell.send(message).is_err() {
                            return;
                        }
                    }
                    _ => return,
                }
            }
        });
        let mut browser = Browser {
            child,
            to,
            from,
            next: 0,
            session: None,
            profile,
            requests: Vec::new(),
            downloaded: false,
        };
        let target = browser.call("Target.createTarget", json!({"url": "about:blank"}));
        let attached = browser.call(
            "Target.attachToTarget",
            json!({"targetId": target["targetId"], "flatten": true}),
        );
        browser.session = attached["sessionId"].as_str().map(String::from);
        for domain in ["Page", "Runtime", "Log", "Network"] {
            browser.call(&format!("{domain}.enable"), json!({}));
        }
        browser.call(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({"source": STAND_INS}),
        );
        browser.size(1280, 800, false);
        Some(browser)
    }

    pub fn call(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let mut message = json!({"id": self.next, "method": method, "params": params});
        if let Some(session) = &self.session {
            message["sessionId"] = json!(session);
        }
        let mut bytes = message.to_string().into_bytes();
        bytes.push(0);
        self.to.write_all(&bytes).expect("the browser listens");
        loop {
            let message = self.from.recv_timeout(PATIENCE);
            let message = message.unwrap_or_else(|e| panic!("{method}: {e}"));
            if message["id"] == json!(self.next) {
                assert!(message["error"].is_null(), "{method}: {}", message["error"]);
                return message["result"].clone();
            }
            self.heard(&message);
        }
    }

    fn heard(&mut self, event: &Value) {
        let params = &event["params"];
        match event["method"].as_str().unwrap_or_default() {
            "Runtime.exceptionThrown" => panic!("a script failed: {params}"),
            "Log.entryAdded" if params["entry"]["level"] == "error" => {
                panic!("the page complains: {}", params["entry"])
            }
            "Network.requestWillBeSent" => {
                let url = params["request"]["url"].as_str().unwrap_or_default();
                self.requests.push(url.to_string());
            }
            "Browser.downloadProgress" if params["state"] == "completed" => self.downloaded = true,
            _ => {}
        }
    }

    pub fn size(&mut self, width: u32, height: u32, phone: bool) {
        self.call(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": phone}),
        );
        self.call(
            "Emulation.setTouchEmulationEnabled",
            json!({"enabled": phone}),
        );
    }

    pub fn dark(&mut self, dark: bool) {
        let value = if dark { "dark" } else { "light" };
        self.call(
            "Emulation.setEmulatedMedia",
            json!({"features": [{"name": "prefers-color-scheme", "value": value}]}),
        );
    }

    pub fn open(&mut self, path: &Path) {
        self.call(
            "Page.navigate",
            json!({"url": format!("file://{}", path.display())}),
        );
        self.until("document.readyState === 'complete' && location.protocol === 'file:'");
    }

    pub fn reload(&mut self) {
        self.run("window.before = true");
        self.call("Page.reload", json!({}));
        self.until("document.readyState === 'complete' && !window.before");
    }

    /// The value of an expression, promises awaited.
    pub fn run(&mut self, expression: &str) -> Value {
        let params = json!({"expression": expression, "awaitPromise": true, "returnByValue": true});
        let done = self.call("Runtime.evaluate", params);
        assert!(
            done["exceptionDetails"].is_null(),
            "{expression}: {}",
            done["exceptionDetails"]
        );
        done["result"]["value"].clone()
    }

    /// Waits until it is true, looking once a frame.
    pub fn until(&mut self, condition: &str) {
        // A page that is left takes the promise with it; then the next one is asked.
        for _ in 0..3 {
            let params = json!({"expression": format!(
                "new Promise((yes, no) => {{ const end = performance.now() + 20000; const look = () => ({condition}) ? yes(true) : performance.now() > end ? no(new Error('never')) : requestAnimationFrame(look); look(); }})"
            ), "awaitPromise": true, "returnByValue": true});
            self.next += 1;
            let mut message =
                json!({"id": self.next, "method": "Runtime.evaluate", "params": params});
            message["sessionId"] = json!(self.session);
            let mut bytes = message.to_string().into_bytes();
            bytes.push(0);
            self.to.write_all(&bytes).expect("the browser listens");
            let answer = loop {
                let message = self.from.recv_timeout(PATIENCE);
                let message = message.unwrap_or_else(|e| panic!("{condition}: {e}"));
                if message["id"] == json!(self.next) {
                    break message;
                }
                self.heard(&message);
            };
            if answer["error"].is_null() {
                let fault = &answer["result"]["exceptionDetails"];
                assert!(fault.is_null(), "{condition}: never came true");
                return;
            }
        }
        panic!("{condition}: the page went away");
    }

    pub fn text(&mut self, selector: &str) -> String {
        let found = self.run(&format!(
            "document.querySelector({}).innerText",
            json!(selector)
        ));
        found
            .as_str()
            .unwrap_or_else(|| panic!("{selector}"))
            .to_string()
    }

    /// Where the middle of an element is, once it is in sight. What covers it is told.
    fn middle(&mut self, selector: &str) -> (f64, f64) {
        let found = self.run(&format!(
            "(() => {{ const e = [...document.querySelectorAll({})].find(e => e.checkVisibility()); if (!e) return 'nowhere';
             e.scrollIntoView({{block: 'center', behavior: 'instant'}}); const b = e.getBoundingClientRect(); const x = b.left + b.width / 2, y = b.top + b.height / 2;
             const top = document.elementFromPoint(x, y); return top && (e.contains(top) || top.contains(e)) ? [x, y] : 'covered by ' + (top && top.outerHTML.slice(0, 80)); }})()",
            json!(selector)
        ));
        match (found[0].as_f64(), found[1].as_f64()) {
            (Some(x), Some(y)) => (x, y),
            _ => panic!("{selector}: {found}"),
        }
    }

    fn mouse(&mut self, kind: &str, (x, y): (f64, f64)) {
        let buttons = u8::from(kind != "mouseReleased");
        self.call(
            "Input.dispatchMouseEvent",
            json!({"type": kind, "x": x, "y": y, "button": "left", "buttons": buttons, "clickCount": 1}),
        );
    }

    /// A real click on the first visible element.
    pub fn click(&mut self, selector: &str) {
        let at = self.middle(selector);
        self.mouse("mousePressed", at);
        self.mouse("mouseReleased", at);
    }

    /// From the middle of an element by so many pixels.
    pub fn drag(&mut self, selector: &str, (dx, dy): (f64, f64)) {
        let (x, y) = self.middle(selector);
        self.mouse("mousePressed", (x, y));
        for step in 1..=4 {
            let part = f64::from(step) / 4.0;
            self.mouse("mouseMoved", (x + dx * part, y + dy * part));
        }
        self.mouse("mouseReleased", (x + dx, y + dy));
    }

    pub fn key(&mut self, key: &str) {
        let (code, text) = match key {
            "Tab" => (9, ""),
            "Enter" => (13, "\r"),
            " " => (32, " "),
            "ArrowLeft" => (37, ""),
            "ArrowRight" => (39, ""),
            "ArrowDown" => (40, ""),
            other => panic!("no key {other}"),
        };
        let down = if text.is_empty() {
            "rawKeyDown"
        } else {
            "keyDown"
        };
        for kind in [down, "keyUp"] {
            let mut params =
                json!({"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code});
            if kind == "keyDown" {
                params["text"] = json!(text);
            }
            self.call("Input.dispatchKeyEvent", params);
        }
    }

    /// Goes on with the tabulator until that element has the focus.
    pub fn tab_to(&mut self, selector: &str) {
        let found = format!(
            "document.activeElement && document.activeElement.matches({}) && document.activeElement.checkVisibility()",
            json!(selector)
        );
        for _ in 0..150 {
            if self.run(&found) == json!(true) {
                return;
            }
            self.key("Tab");
        }
        panic!("no key leads to {selector}");
    }

    pub fn write(&mut self, text: &str) {
        self.call("Input.insertText", json!({"text": text}));
    }

    /// Chooses a file in a field for files.
    pub fn give(&mut self, selector: &str, file: &Path) {
        let root = self.call("DOM.getDocument", json!({}));
        let found = self.call(
            "DOM.querySelector",
            json!({"nodeId": root["root"]["nodeId"], "selector": selector}),
        );
        self.call(
            "DOM.setFileInputFiles",
            json!({"nodeId": found["nodeId"], "files": [file]}),
        );
    }

    /// The page as it would be printed.
    pub fn pdf(&mut self) -> Vec<u8> {
        let done = self.call("Page.printToPDF", json!({"preferCSSPageSize": true}));
        from_base64(done["data"].as_str().expect("a file"))
    }

    /// A picture of the whole page, for who looks at it: where VIVASMITH_LOOK names a folder.
    pub fn picture(&mut self, name: &str) {
        let Some(folder) = std::env::var_os("VIVASMITH_LOOK") else {
            return;
        };
        let done = self.call(
            "Page.captureScreenshot",
            json!({"format": "png", "captureBeyondViewport": true}),
        );
        let bytes = from_base64(done["data"].as_str().expect("a picture"));
        std::fs::write(Path::new(&folder).join(format!("{name}.png")), bytes).expect("written");
    }

    /// Presses what saves a file into a folder; gives its text.
    pub fn save(&mut self, selector: &str, folder: &Path) -> String {
        let session = self.session.take();
        self.call(
            "Browser.setDownloadBehavior",
            json!({"behavior": "allow", "downloadPath": folder, "eventsEnabled": true}),
        );
        self.session = session;
        self.downloaded = false;
        self.click(selector);
        while !self.downloaded {
            let event = self.from.recv_timeout(PATIENCE).expect("a download");
            self.heard(&event);
        }
        let mut files = std::fs::read_dir(folder).expect("a folder");
        let file = files.next().expect("a file").expect("a file").path();
        assert!(file.to_string_lossy().ends_with("-marks.csv"), "{file:?}");
        std::fs::read_to_string(file).expect("text")
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // A test that failed has nothing more to hear from it.
        let _ = self.child.kill();
        let _ = self.child.wait();
        let _ = std::fs::remove_dir_all(&self.profile);
    }
}

fn from_base64(text: &str) -> Vec<u8> {
    STANDARD.decode(text).expect("base64")
}
