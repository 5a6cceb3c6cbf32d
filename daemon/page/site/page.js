"use strict";
// The run as noonfalld tells it, event by event. Names and words of the run are put in as text only.
(() => {
  const $ = (id) => document.getElementById(id);
  const token = new URLSearchParams(location.hash.slice(1)).get("token") || "";
  let facts = null;
  let heard = 0;        // performance.now() at the last event
  let nightChosen = null;
  let asked = "";

  const put = (element, text) => { if (element.textContent !== text) element.textContent = text; };
  const make = (name, className, text) => {
    const element = document.createElement(name);
    if (className) element.className = className;
    if (text !== undefined) element.textContent = text;
    return element;
  };
  const two = (n) => String(n).padStart(2, "0");
  const now = () => facts.now_ms + (performance.now() - heard) * facts.speed;
  const clock = (ms) => new Date(ms).toISOString().slice(11, 19);
  const span = (ms) => {
    const s = Math.max(0, Math.ceil(ms / 1000));
    const rest = two(Math.floor(s / 60) % 60) + ":" + two(s % 60);
    return s >= 3600 ? Math.floor(s / 3600) + ":" + rest : Math.floor(s / 60) + ":" + two(s % 60);
  };

  function showNeeded() {
    const need = facts.needed;
    put($("needed-in"), !need ? "" : need.at_ms <= now() ? "NOW" : "in " + span(need.at_ms - now()));
    put($("needed-words"), need ? need.words : "No hands are needed any more.");
  }

  function showContacts() {
    const next = facts.next_contact;
    put($("contact-name"), next ? "To " + next.name : "No contact is left");
    put($("contact-in"), next ? span(next.at_ms - now()) : "");
    const t = facts.totality;
    put($("totality"), !t ? "" : t.elapsed_ms === undefined ? "Totality lasts " + span(t.total_ms)
      : "TOTALITY " + span(Math.floor((t.elapsed_ms + now() - facts.now_ms) / 1000) * 1000) + " of " + span(t.total_ms));
    put($("next"), facts.next ? (facts.next.at_ms > now() ? "in " + span(facts.next.at_ms - now()) : "now") + ": " + facts.next.words : "nothing is left");
    put($("last"), facts.last ? clock(facts.last.at_ms) + " " + facts.last.words : "nothing was said yet");
    const body = $("contacts").tBodies[0];
    while (body.rows.length > facts.contacts.length) body.deleteRow(-1);
    facts.contacts.forEach((contact, n) => {
      const row = body.rows[n] || body.insertRow();
      while (row.cells.length < 3) row.insertCell();
      put(row.cells[0], contact.name);
      put(row.cells[1], clock(contact.at_ms));
      put(row.cells[2], contact.at_ms > now() ? span(contact.at_ms - now()) : "over");
    });
    put($("clock"), clock(now()) + " UTC" + (facts.local ? ", " + facts.local + " " + facts.zone : "") + ". " + facts.clock);
    put($("clock-remedy"), facts.clock_remedy);
  }

  function showAlarms() {
    const words = facts.alarms.map((alarm) => "ALARM " + clock(alarm.at_ms) + " " + alarm.words);
    const shown = [...$("alarms").children].map((p) => p.textContent);
    if (words.join("\n") === shown.join("\n")) return;
    $("alarms").replaceChildren(...words.map((text) => make("p", "alarm", text)));
  }

  // Zenith up, as seen from the site; angles run from north through east, which is to the left in the sky.
  const around = (degrees, distance) => {
    const a = (degrees - (facts.moon ? facts.moon.zenith_deg : 0)) * Math.PI / 180;
    return [-Math.sin(a) * distance, -Math.cos(a) * distance];
  };
  function mark(text, degrees) {
    const ns = "http://www.w3.org/2000/svg";
    const line = document.createElementNS(ns, "line");
    [["x1", "y1", 1.1], ["x2", "y2", 1.35]].forEach(([x, y, distance]) => {
      const [px, py] = around(degrees, distance);
      line.setAttribute(x, px.toFixed(3));
      line.setAttribute(y, py.toFixed(3));
    });
    const label = document.createElementNS(ns, "text");
    const [x, y] = around(degrees, 1.65);
    label.setAttribute("x", x.toFixed(3));
    label.setAttribute("y", y.toFixed(3));
    label.textContent = text;
    return [line, label];
  }
  function showSky() {
    const moon = facts.moon;
    $("discs").style.display = moon ? "" : "none";
    if (!moon) return;
    const distance = Math.hypot(moon.north, moon.east);
    const angle = Math.atan2(moon.east, moon.north) * 180 / Math.PI;
    const [x, y] = around(angle, distance);
    $("moon").setAttribute("r", moon.radius.toFixed(4));
    $("moon").setAttribute("cx", x.toFixed(4));
    $("moon").setAttribute("cy", y.toFixed(4));
    // Where both point the same way one mark says so.
    const apart = Math.abs((moon.zenith_deg + 180) % 360 - 180) > 20;
    $("marks").replaceChildren(...(apart ? [...mark("N", 0), ...mark("zenith", moon.zenith_deg)] : mark("zenith, N", moon.zenith_deg)));
    put($("discs-words"), "Sun and Moon as seen from the site, zenith up: their centres " + distance.toFixed(2) +
      " solar radii apart, the Moon at " + Math.round((angle + 360) % 360) + " degrees from north through east");
  }

  // One element for each rig, kept while its name stays: a button in use isn't taken from under a finger.
  function laneOf(n, name) {
    const lanes = $("rigs");
    if (lanes.children[n] && lanes.children[n].rig === name) return lanes.children[n];
    const lane = make("article", "lane");
    lane.rig = name;
    lane.append(make("h2", "", name), make("span", "body"), " ", make("span", "filter"), make("p", "doing"),
      make("dl", "figures"), make("figure", "picture"));
    const buttons = make("details", "command");
    buttons.append(make("summary", "", "Tell " + name));
    const step = () => (facts.rigs[n] ? facts.rigs[n].step || facts.rigs[n].next_step : "");
    [["Hold", () => "hold " + name], ["Resume", () => "resume " + name],
      ["Trim \u2212\u2153", () => "trim " + name + " -1/3 stop"], ["Trim +\u2153", () => "trim " + name + " +1/3 stop"],
      ["Filter is on", () => "filter " + name + " on"], ["Filter is off", () => "filter " + name + " off"],
      ["Skip step", () => (step() ? "skip " + step() : "")]].forEach(([label, words]) => {
      const button = make("button", "", label);
      button.type = "button";
      button.setAttribute("aria-label", label + ", " + name);
      button.addEventListener("click", () => ask(words()));
      buttons.append(button);
    });
    const proposed = make("button", "proposed command");
    proposed.type = "button";
    proposed.addEventListener("click", () => ask(facts.rigs[n] ? facts.rigs[n].proposed : ""));
    lane.append(proposed, buttons);
    if (lanes.children[n]) lanes.children[n].replaceWith(lane); else lanes.append(lane);
    return lane;
  }

  // Not by its address: an <img> can't send a token.
  async function showPicture(figure, rig, n) {
    const words = figure.querySelector("figcaption");
    if (words) put(words, clock(rig.picture_ms) + " UTC" + (rig.looks ? ": " + rig.looks : ""));
    if (rig.picture_ms === undefined || figure.of === rig.picture_ms) return;
    figure.of = rig.picture_ms;
    try {
      const answer = await fetch("/picture/" + n, {headers: token ? {"Authorization": "Bearer " + token} : {}, cache: "no-store"});
      if (!answer.ok) throw new Error(answer.status);
      const url = URL.createObjectURL(await answer.blob());
      const image = make("img");
      image.alt = "The last small picture of " + rig.name;
      image.addEventListener("load", () => URL.revokeObjectURL(url));
      image.src = url;
      figure.replaceChildren(image, make("figcaption"));
    } catch (error) {
      figure.of = undefined;
    }
  }

  function showRig(rig, n) {
    const lane = laneOf(n, rig.name);
    const body = lane.querySelector(".body");
    put(body, rig.body);
    body.className = "body " + rig.body.toLowerCase().replace(/[^a-z]/g, "-");
    const filter = lane.querySelector(".filter");
    put(filter, rig.filter);
    filter.className = "filter " + rig.filter_state;
    const due = rig.next_ms === undefined || rig.hands || rig.back_to_back || rig.body === "HELD" ? rig.doing
      : (rig.next_ms > now() ? "in " + span(rig.next_ms - now()) : "now") + ": " + rig.next_step;
    put(lane.querySelector(".doing"), rig.why ? rig.why : due);
    showPicture(lane.querySelector(".picture"), rig, n);
    const proposed = lane.querySelector(".proposed");
    proposed.hidden = !rig.proposed;
    put(proposed, rig.proposed ? "Take the proposed: " + rig.proposed : "");
    const figures = [["Exposure", rig.exposure], ["Next frames", rig.next_exposures], ["Trim", rig.trim], ["Frames", rig.frames],
      ["Last frame", rig.late],
      ["Battery", rig.battery_percent === undefined ? "" : rig.battery_percent + " %"],
      ["Card", rig.card_frames === undefined ? "" : rig.card_frames + " frames"]].filter(([, value]) => value);
    const list = lane.querySelector(".figures");
    while (list.children.length > figures.length) list.lastChild.remove();
    figures.forEach(([name, value], k) => {
      if (!list.children[k]) {
        const pair = make("div");
        pair.append(make("dt"), make("dd"));
        list.append(pair);
      }
      put(list.children[k].children[0], name);
      put(list.children[k].children[1], value);
    });
  }

  function showRigs() {
    facts.rigs.forEach(showRig);
    while ($("rigs").children.length > facts.rigs.length) $("rigs").lastChild.remove();
  }

  function show() {
    if (!facts) return;
    const night = nightChosen === null ? !!(facts.totality && facts.totality.elapsed_ms !== undefined) : nightChosen;
    document.body.classList.toggle("night", night);
    $("night").setAttribute("aria-pressed", String(night));
    put($("title"), facts.title);
    put($("mode"), facts.mode);
    showNeeded();
    showAlarms();
    showContacts();
    showSky();
    showRigs();
  }

  function ask(words) {
    if (!words) return;
    asked = words;
    put($("ask-words"), words + "?");
    $("ask").showModal();
  }
  async function tell() {
    $("ask").close();
    put($("said"), asked + " \u2026");
    try {
      const answer = await fetch("/command", {method: "POST", body: JSON.stringify({say: asked}),
        headers: {"Content-Type": "application/json", "X-Noonfall": "command", "Authorization": "Bearer " + token}});
      const told = await answer.json();
      const line = (told.ok ? "Done: " : "NOT done: ") + told.words;
      put($("said"), line);
      // What was done is on the lane by then; what wasn't stays.
      if (told.ok) setTimeout(() => { if ($("said").textContent === line) put($("said"), ""); }, 8000);
    } catch (error) {
      put($("said"), "NOT done: noonfalld didn't answer");
    }
  }

  function take(event, data) {
    if (event === "access") {
      const access = JSON.parse(data);
      document.body.classList.toggle("commanding", access.commands);
      put($("access"), access.words);
    } else {
      facts = JSON.parse(data);
      heard = performance.now();
      put($("link"), "");
      show();
    }
  }
  // Not EventSource: that can't send a token.
  async function listen() {
    const answer = await fetch("/events", {headers: token ? {"Authorization": "Bearer " + token} : {}, cache: "no-store"});
    if (!answer.ok) throw new Error(await answer.text());
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (;;) {
      const {value, done} = await reader.read();
      if (done) throw new Error("noonfalld has ended the line");
      text += value;
      for (let end = text.indexOf("\n\n"); end >= 0; end = text.indexOf("\n\n")) {
        const lines = text.slice(0, end).split("\n");
        text = text.slice(end + 2);
        const of = (field) => (lines.find((line) => line.startsWith(field)) || "").slice(field.length);
        const data = of("data: ");
        if (data) take(of("event: "), data);
      }
    }
  }
  async function stay() {
    for (;;) {
      try { await listen(); } catch (error) { put($("link"), "NO NEWS: " + error.message); }
      await new Promise((again) => setTimeout(again, 1000));
    }
  }

  $("ask-yes").addEventListener("click", tell);
  $("ask-no").addEventListener("click", () => $("ask").close());
  $("clock-ok").addEventListener("click", () => ask("clock ok"));
  $("night").addEventListener("click", () => {
    nightChosen = !document.body.classList.contains("night");
    show();
  });
  setInterval(() => {
    if (facts && performance.now() - heard > 5000) put($("link"), "NO NEWS from noonfalld for " + span(performance.now() - heard));
    show();
  }, 250);
  stay();
})();
