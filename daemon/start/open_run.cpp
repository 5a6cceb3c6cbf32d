#include "daemon/start/open_run.h"

#include <filesystem>

#include <fmt/format.h>

#include "daemon/journal/state_root.h"
#include "daemon/load/plan_loading.h"
#include "daemon/posix/text_file.h"
#include "daemon/start/cables.h"
#include "daemon/start/limb_in_force.h"
#include "daemon/start/logged_contacts.h"
#include "daemon/start/move_request.h"
#include "daemon/start/refusals.h"
#include "daemon/start/run_files.h"
#include "lib/shotlog/checksum.h"
#include "lib/timeline/timeline.h"
#include "sim/body/fault_script.h"

namespace noonfall::start {
namespace {

using command_line::Exit;
using journal::RunSettings;
using shotlog::Mode;

constexpr std::size_t most_fault_bytes = 1U << 20U;

Mode mode_of(const RunRequest& request) {
  if (request.simulate) return Mode::simulated;
  return request.move.empty() ? Mode::event : Mode::dress;
}

/// Leaves off with what is wrong.
struct Stop {
  Diagnostics why;
  Exit exit = Exit::work_has_errors;
};

[[noreturn]] void refuse(std::string code, std::string message, std::string hint = {},
                         Exit exit = Exit::work_has_errors) {
  throw Stop{{error_at({}, std::move(code), std::move(message), std::move(hint))}, exit};
}

[[noreturn]] void no_run_in(const std::string& folder) {
  refuse("no-plan", "no run was begun in " + folder, "noonfalld PLAN", Exit::bad_command_line);
}

template <class T>
T need(Result<T> result, Exit exit) {
  if (!result) throw Stop{std::move(result.error()), exit};
  if constexpr (!std::is_void_v<T>) return std::move(*result);
}

class Opener {
 public:
  Opener(const RunRequest& request, Utc now) : request_{request}, now_{now} {}

  Opening open() {
    Opening out;
    try {
      check_command_line();
      open_folder();
      if (begun_) open_journal();
      if (run_.before && run_.before->ended == shotlog::RunEnd::done && !request_.amend) {
        out.done =
            fmt::format("This run is over: its log is {}/{}.{}", run_.folder->path(), journal::shot_log_name,
                        run_.settings.mode == Mode::event ? "" : " --afresh begins another.");
        return out;
      }
      load();
      append(findings_, std::move(plan_.findings));
      check_bodies();
      move_and_check();
      read_faults();
      keep();
      if (!run_.journal) open_journal();
      out.run = std::move(run_);
    } catch (Stop& stop) {
      append(findings_, std::move(stop.why));
      out.exit = stop.exit;
    }
    out.findings = std::move(findings_);
    return out;
  }

 private:
  /// Before a folder is made for it.
  void check_command_line() {
    if (auto refusal = no_wire(request_)) throw Stop{{std::move(refusal->why)}, refusal->exit};
    if (!request_.move.empty()) move_ = need(parse_move(request_.move), Exit::bad_command_line);
    if (request_.plan.empty() && request_.state.empty()) {
      refuse("no-plan", "no plan is given, and no run's folder", "noonfalld PLAN", Exit::bad_command_line);
    }
    std::error_code ignored;
    if (request_.plan.empty() && !std::filesystem::exists(request_.state, ignored)) no_run_in(request_.state);
    if (!request_.plan.empty()) need(plan_to_keep(request_.plan), Exit::environment);
  }

  void open_folder() {
    run_.folder = std::make_unique<journal::RunFolder>(
        need(journal::RunFolder::open(folder_path()), Exit::environment));
    begun_ = need(read_settings(*run_.folder), Exit::environment);
    run_.alarms = need(alarms_of(*run_.folder, begun_), Exit::environment);
    if (begun_ && request_.afresh) {
      if (begun_->mode == Mode::event)
        refuse("event-run", "the log of the event itself is never put aside", "another folder with --state");
      const auto name = need(put_aside(*run_.folder), Exit::environment);
      run_.notes.push_back(fmt::format("an earlier run was put aside into {}", name));
      begun_.reset();
    }
    if (begun_) {
      go_on_with(*begun_);
      return;
    }
    refuse_log_without_settings();
    if (request_.plan.empty()) no_run_in(run_.folder->path());
    run_.settings = asked();
  }

  /// Nobody knows any more what such a log is of: a rehearsal must not be written into that of the event.
  void refuse_log_without_settings() {
    const auto log = need(run_.folder->read(journal::shot_log_name, journal::any_size), Exit::environment);
    if (!log || log->empty()) return;
    open_journal();
    if (!run_.before) return;
    refuse("run-settings",
           fmt::format("{}/{} is missing, and the log beside it can't be gone on with", run_.folder->path(),
                       journal::run_settings_name),
           "that file put back, or another folder with --state", Exit::environment);
  }

  [[nodiscard]] std::string folder_path() const {
    if (!request_.state.empty()) return request_.state;
    const auto root = need(journal::state_root(journal::state_environment()), Exit::environment);
    return (std::filesystem::path{root} / journal::run_folder_name(request_.plan, mode_of(request_)))
        .string();
  }

  [[nodiscard]] RunSettings asked() const {
    RunSettings settings;
    settings.mode = mode_of(request_);
    if (request_.simulate)
      settings.bodies = request_.wire ? journal::Bodies::wire : journal::Bodies::simulated;
    settings.speed = request_.speed.value_or(1);
    if (request_.simulate) settings.seed = request_.seed.value_or(1);
    settings.detune = request_.detune.value_or(1);
    settings.plan = request_.plan;
    settings.faults = !request_.faults.empty();
    return settings;
  }

  /// A run goes on as it was begun; what the command line says otherwise is not taken, and said so.
  void go_on_with(const RunSettings& begun) {
    run_.settings = begun;
    const bool other_mode = (request_.simulate || !request_.move.empty()) && mode_of(request_) != begun.mode;
    if (other_mode) {
      refuse(
          "other-mode",
          fmt::format("the run in {} is of mode \"{}\"", run_.folder->path(), shotlog::to_text(begun.mode)),
          "another folder with --state, or the run as it was begun");
    }
    const auto left_out = [&](bool given, const char* option) {
      if (given) {
        findings_.push_back(warning_at(
            {}, "as-begun",
            fmt::format("a run in {} goes on as it was begun: {} is not taken", run_.folder->path(), option),
            begun.mode == Mode::event ? "" : "--afresh to begin another"));
      }
    };
    left_out(!request_.move.empty(), "--move");
    const bool other_bodies = request_.wire != (begun.bodies == journal::Bodies::wire);
    left_out(request_.simulate && other_bodies,
             request_.wire ? "--simulate=wire" : "--simulate without wire");
    left_out(request_.speed && *request_.speed != begun.speed, "--speed");
    left_out(request_.seed && request_.seed != begun.seed, "--seed");
    left_out(request_.detune && *request_.detune != begun.detune, "--detune");
    left_out(!request_.faults.empty(), "--faults");
    left_out(!request_.amend && !request_.limb.limb.empty(), "--limb");
    left_out(!request_.amend && !request_.limb.data.empty(), "--limb-data");
  }

  void open_journal() {
    auto tell = std::make_shared<journal::ShotJournal::Tell>();
    auto places = journal::second_places(journal::state_environment());
    auto opened = need(journal::ShotJournal::open(*run_.folder, {.second_places = std::move(places)},
                                                  [tell](const journal::JournalNews& news) {
                                                    if (*tell) (*tell)(news);
                                                  }),
                       Exit::environment);
    run_.on_news = std::move(tell);
    run_.journal = std::move(opened.journal);
    if (!opened.lines.empty()) run_.before = shotlog::account_of(opened.lines);
    if (!opened.note.empty()) run_.notes.push_back(opened.note);
    for (const auto& damage : opened.damage)
      run_.notes.push_back(fmt::format("line {} of the log: {}", damage.mark.line, damage.message));
  }

  void load() {
    const bool lost = run_.before && run_.before->plans.empty();
    amending_ = run_.before && (request_.amend || lost);
    if (lost)
      run_.notes.emplace_back("the log's first line is damaged: what the run was given is written again");
    load_plan();
    if (!run_.before || amending_ || run_.before->plan().plan_hash == run_.facts.plan_hash) return;
    if (!request_.plan.empty()) {
      refuse("plan-changed", fmt::format("{} is not the plan this run was begun with", request_.plan),
             "--amend to go on with it, or no PLAN to go on with the old one");
    }
    // The folder's own copy is newer than the log: an amendment was cut short.
    amending_ = true;
    load_plan();
  }

  void load_plan() {
    load::PlanSource source;
    const std::filesystem::path here{run_.folder->path()};
    source.path = request_.plan.empty() ? (here / journal::plan_name).string() : request_.plan;
    source.bodies = request_.bodies;
    const auto kept = here / journal::bodies_name;  // not of a run whose bodies are all by hand
    if (begun_ && request_.bodies.empty() && exists(kept)) source.bodies = kept.string();
    source.leap_seconds = request_.leap_seconds;
    source.strictness = timeline::Strictness::on_the_day;
    const bool as_before = run_.before && !amending_;
    // no strip is needed where the log has the instants, nor can a damaged one stop a restart
    const auto before = run_.before ? std::optional{run_.before->plan()} : std::nullopt;
    source.limb = as_before ? load::LimbRequest{"mean", {}}
                            : limb_in_force(request_, run_.settings, before ? &*before : nullptr, findings_);
    if (as_before) source.correct = [&before](auto& sky) { sky = as_logged(std::move(sky), *before); };
    plan_ = load::load_plan(source);
    if (!plan_.timeline) throw Stop{std::move(plan_.findings), plan_.exit};
    run_.facts.plan_hash = shotlog::sha256_text(plan_.text);
    run_.facts.limb = as_before ? before->limb : std::string{to_text(plan_.basis.limb)};
    run_.facts.solar_radius_arcsec = as_before ? before->solar_radius_arcsec : plan_.basis.solar_radius.value;
    if (!as_before) run_.settings.limb_data = whole_path(plan_.basis.limb_file);
    plan_path_ = source.path;
  }

  void check_bodies() const {
    if (run_.settings.bodies != journal::Bodies::real) return;
    auto refusal = undrivable_bodies(*plan_.plan, request_.can_drive ? Cables::driven : Cables::not_driven);
    if (refusal.why.empty()) return;
    attach_source(refusal.why, plan_path_, plan_.text);
    throw Stop{std::move(refusal.why), refusal.exit};
  }

  void move_and_check() {
    auto& timeline = *plan_.timeline;
    const auto& sky = timeline.circumstances;
    if (!begun_ && move_) run_.settings.moved = need(moved_by(*move_, sky, now_), Exit::work_has_errors);
    if (run_.settings.mode != Mode::event) {
      if (auto near = too_near_the_real_one(sky, now_, run_.settings.moved)) throw Stop{{std::move(*near)}};
    }
    run_.timeline = timeline::moved(timeline, run_.settings.moved);
    if (!begun_) {
      if (auto over = nothing_to_come(run_.timeline, now_)) throw Stop{{std::move(*over)}};
    }
    run_.serials = serials_of(*plan_.plan, run_.timeline);
    run_.facts.mode = run_.settings.mode;
    run_.facts.moved = run_.settings.moved;
    run_.facts.seed = run_.settings.seed;
  }

  void read_faults() {
    if (!run_.settings.faults) return;
    const std::filesystem::path here{run_.folder->path()};
    const auto path = begun_ ? (here / journal::faults_name).string() : request_.faults;
    faults_text_ = need(posix::read_text_file(path, most_fault_bytes), Exit::environment);
    std::vector<std::string> rigs;
    for (const auto& rig : run_.timeline.rigs) rigs.push_back(rig.name);
    auto faults = sim::read_faults(faults_text_, run_.timeline.circumstances, rigs);
    if (!faults) attach_source(faults.error(), path, faults_text_);
    run_.faults = need(std::move(faults), Exit::work_has_errors);
  }

  void keep() {
    if (begun_ && !request_.amend) return;
    need(keep_files(*run_.folder, run_.settings, plan_, faults_text_), Exit::environment);
  }

  const RunRequest& request_;
  Utc now_;
  OpenedRun run_;
  std::optional<RunSettings> begun_;
  std::optional<MoveRequest> move_;
  load::LoadedPlan plan_;
  std::string faults_text_;
  Diagnostics findings_;
  std::string plan_path_;
  bool amending_ = false;  // the plan as it is now is taken
};

}  // namespace

Opening open_run(const RunRequest& request, Utc now) {
  return Opener{request, now}.open();
}

}  // namespace noonfall::start
