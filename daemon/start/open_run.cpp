#include "daemon/start/open_run.h"

#include <algorithm>
#include <filesystem>

#include <fmt/format.h>

#include "daemon/journal/state_root.h"
#include "daemon/load/plan_loading.h"
#include "daemon/posix/text_file.h"
#include "daemon/start/limb_in_force.h"
#include "daemon/start/move_request.h"
#include "daemon/start/power_command.h"
#include "daemon/start/refusals.h"
#include "daemon/start/run_files.h"
#include "lib/shotlog/checksum.h"
#include "lib/timeline/timeline.h"
#include "sim/body/fault_script.h"

namespace noonfall::start {
namespace {

using command_line::Checked;
using command_line::Exit;
using command_line::Refusal;
using command_line::refuse;
using shotlog::Mode;

constexpr std::size_t most_fault_bytes = 1U << 20U;

tl::unexpected<Refusal> refuse_for(std::string code, std::string message, std::string hint,
                                   Exit exit = Exit::work_has_errors) {
  return refuse({error_at({}, std::move(code), std::move(message), std::move(hint))}, exit);
}

tl::unexpected<Refusal> no_run_in(const std::string& folder) {
  return refuse_for("no-plan", "no run was begun in " + folder, "noonfalld PLAN", Exit::bad_command_line);
}

/// What `result` has goes into `place`.
template <class T, class Place>
Checked put(Result<T> result, Exit exit, Place& place) {
  if (!result) return refuse(std::move(result.error()), exit);
  place = std::move(*result);
  return {};
}

class Opener {
 public:
  Opener(const RunRequest& request, Utc now) : request_{request}, now_{now} {}

  Opening open() {
    const auto opened = check_wire(request_)
                            .and_then([&] { return check_command_line(); })
                            .and_then([&] { return open_folder(); })
                            .and_then([&] { return begun_ ? go_on() : begin(); })
                            .and_then([&] { return load(); })
                            .and_then([&] { return check_real_bodies(); })
                            .and_then([&] { return move_and_check(); })
                            .and_then([&] { return read_faults(); })
                            .and_then([&] { return keep(); })
                            .map([&] { choose_power_command(run_, request_.power_command, findings_); });
    if (!opened) append(findings_, opened.error().why);
    Opening out{.run = {}, .findings = std::move(findings_), .exit = Exit::done, .done = std::move(over_)};
    if (!opened) out.exit = opened.error().exit;
    if (opened) out.run = std::move(run_);
    return out;
  }

 private:
  /// Before a folder is made for it.
  Checked check_command_line() {
    if (!request_.move.empty()) {
      if (auto step = put(parse_move(request_.move), Exit::bad_command_line, move_); !step) return step;
    }
    if (!request_.plan.empty()) return put(plan_to_keep(request_.plan), Exit::environment, plan_text_);
    if (request_.state.empty()) {
      return refuse_for("no-plan", "no plan is given, and no run's folder", "noonfalld PLAN",
                        Exit::bad_command_line);
    }
    std::error_code ignored;
    if (!std::filesystem::exists(request_.state, ignored)) return no_run_in(request_.state);
    return {};
  }

  Checked open_folder() {
    auto folder = folder_path().and_then([](const auto& path) { return journal::RunFolder::open(path); });
    if (!folder) return refuse(std::move(folder.error()), Exit::environment);
    run_.folder = std::make_unique<journal::RunFolder>(std::move(*folder));
    return put(read_settings(*run_.folder), Exit::environment, begun_)
        .and_then([&] { return put(alarms_of(*run_.folder, begun_), Exit::environment, run_.alarms); })
        .and_then([&] { return begun_ && request_.afresh ? put_earlier_aside() : Checked{}; });
  }

  [[nodiscard]] Result<std::string> folder_path() const {
    if (!request_.state.empty()) return request_.state;
    return journal::state_root(journal::state_environment()).map([&](const auto& root) {
      const auto name = journal::run_folder_name(request_.plan, request_.mode());
      return (std::filesystem::path{root} / name).string();
    });
  }

  Checked put_earlier_aside() {
    if (begun_->mode == Mode::event)
      return refuse_for("event-run", "the log of the event itself is never put aside",
                        "another folder with --state");
    const auto name = put_aside(*run_.folder);
    if (!name) return refuse(name.error(), Exit::environment);
    run_.notes.push_back(fmt::format("an earlier run was put aside into {}", *name));
    begun_.reset();
    return {};
  }

  Checked begin() {
    return refuse_log_without_settings().and_then([&]() -> Checked {
      if (request_.plan.empty()) return no_run_in(run_.folder->path());
      run_.settings = settings_asked(request_);
      return {};
    });
  }

  /// Nobody knows any more what such a log is of: a rehearsal must not be written into that of the event.
  Checked refuse_log_without_settings() {
    const auto log = run_.folder->read(journal::shot_log_name, journal::any_size);
    if (!log) return refuse(log.error(), Exit::environment);
    if (!*log || (*log)->empty()) return {};
    return open_journal().and_then([&]() -> Checked {
      if (!run_.before) return {};
      return refuse_for("run-settings",
                        fmt::format("{}/{} is missing, and the log beside it can't be gone on with",
                                    run_.folder->path(), journal::run_settings_name),
                        "that file put back, or another folder with --state", Exit::environment);
    });
  }

  Checked go_on() {
    const auto folder = run_.folder->path();
    run_.settings = *begun_;
    if ((request_.simulate || !request_.move.empty()) && request_.mode() != begun_->mode) {
      return refuse_for(
          "other-mode",
          fmt::format("the run in {} is of mode \"{}\"", folder, shotlog::to_text(begun_->mode)),
          "another folder with --state, or the run as it was begun");
    }
    append(findings_, not_taken(request_, *begun_, folder));
    return open_journal().and_then([&]() -> Checked {
      if (!run_.before || run_.before->ended != shotlog::RunEnd::done || request_.amend) return {};
      over_ = fmt::format("This run is over: its log is {}/{}.{}", folder, journal::shot_log_name,
                          begun_->mode == Mode::event ? "" : " --afresh begins another.");
      return refuse({}, Exit::done);
    });
  }

  Checked open_journal() {
    auto places = journal::second_places(journal::state_environment());
    auto opened = journal::ShotJournal::open(*run_.folder, {.second_places = std::move(places)});
    if (!opened) return refuse(std::move(opened.error()), Exit::environment);
    run_.journal = std::move(opened->journal);
    if (!opened->lines.empty()) run_.before = shotlog::account_of(opened->lines);
    if (!opened->note.empty()) run_.notes.push_back(opened->note);
    for (const auto& damage : opened->damage)
      run_.notes.push_back(fmt::format("line {} of the log: {}", damage.mark.line, damage.message));
    return {};
  }

  [[nodiscard]] std::string kept(const char* name) const {
    return (std::filesystem::path{run_.folder->path()} / name).string();
  }

  Checked load() {
    if (request_.plan.empty()) {
      auto read = put(posix::read_text_file(kept(journal::plan_name), load::most_plan_bytes),
                      Exit::environment, plan_text_);
      if (!read) return read;
    }
    run_.facts.plan_hash = shotlog::sha256_text(plan_text_);
    const auto before = run_.before ? std::optional{run_.before->plan()} : std::nullopt;
    const bool lost = run_.before && run_.before->plans.empty();
    if (lost)
      run_.notes.emplace_back("the log's first line is damaged: what the run was given is written again");
    const bool other_plan = before && before->plan_hash != run_.facts.plan_hash;
    const bool amending = before && (request_.amend || lost);
    if (other_plan && !amending && !request_.plan.empty()) {
      return refuse_for("plan-changed",
                        fmt::format("{} is not the plan this run was begun with", request_.plan),
                        "--amend to go on with it, or no PLAN to go on with the old one");
    }
    // Without PLAN the folder's own copy is newer than the log: an amendment was cut short.
    return load_plan(before ? &*before : nullptr, !amending && !other_plan);
  }

  /// `before`: the line in force of the log; null for a run that begins. It goes on by that as it stands
  /// where it is `unchanged`.
  Checked load_plan(const shotlog::Header* before, bool unchanged) {
    const auto* logged = unchanged ? before : nullptr;
    plan_path_ = request_.plan.empty() ? kept(journal::plan_name) : request_.plan;
    // Not of a run whose bodies are all by hand.
    const bool kept_bodies =
        begun_ && request_.bodies.empty() && std::filesystem::exists(kept(journal::bodies_name));
    // no strip is needed where the log has the instants, nor can a damaged one stop a restart
    auto limb = logged != nullptr ? load::LimbRequest{"mean", {}}
                                  : limb_in_force(request_, run_.settings, before, findings_);
    plan_ = load::load_plan({.path = plan_path_,
                             .bodies = kept_bodies ? kept(journal::bodies_name) : request_.bodies,
                             .leap_seconds = request_.leap_seconds,
                             .assumptions = {},
                             .strictness = timeline::Strictness::on_the_day,
                             .logged = logged,
                             .limb = std::move(limb),
                             .text = plan_text_});
    if (!plan_.timeline) return refuse(std::move(plan_.findings), plan_.exit);
    append(findings_, std::move(plan_.findings));
    run_.facts.limb = logged != nullptr ? logged->limb : std::string{to_text(plan_.basis.limb)};
    run_.facts.solar_radius_arcsec =
        logged != nullptr ? logged->solar_radius_arcsec : plan_.basis.solar_radius.value;
    if (logged == nullptr) run_.settings.limb_data = whole_path(plan_.basis.limb_file);
    return {};
  }

  Checked check_real_bodies() const {
    if (run_.settings.bodies != journal::Bodies::real) return {};
    auto checked = check_bodies(*plan_.plan, request_.can_drive ? OnCables::driven : OnCables::not_driven);
    if (!checked) attach_source(checked.error().why, plan_path_, plan_text_);
    return checked;
  }

  Checked move_and_check() {
    const auto& sky = plan_.timeline->circumstances;
    auto& settings = run_.settings;
    if (!begun_ && move_) {
      auto moved = put(moved_by(*move_, sky, now_), Exit::work_has_errors, settings.moved);
      if (!moved) return moved;
    }
    if (settings.mode != Mode::event) {
      if (auto near = too_near_the_real_one(sky, now_, settings.moved)) return refuse({std::move(*near)});
    }
    run_.timeline = timeline::moved(*plan_.timeline, settings.moved);
    if (!begun_) {
      if (auto over = nothing_to_come(run_.timeline, now_)) return refuse({std::move(*over)});
    }
    const bool real = settings.bodies == journal::Bodies::real;
    for (const auto& rig : run_.timeline.rigs) {
      const auto body = cabled_body(rig.name);
      run_.serials.push_back(body.serial);
      if (real) run_.facts.spares.push_back(body.spare);
    }
    if (real) run_.facts.serials = run_.serials;
    run_.facts.mode = settings.mode;
    run_.facts.moved = settings.moved;
    run_.facts.seed = settings.seed;
    return {};
  }

  /// Empty for another kind.
  [[nodiscard]] plan::CabledBody cabled_body(const std::string& name) const {
    const auto rig = std::ranges::find(plan_.plan->rigs, name, &plan::Rig::name);
    const auto* cabled = rig == plan_.plan->rigs.end() ? nullptr : std::get_if<plan::CabledBody>(&rig->body);
    return cabled == nullptr ? plan::CabledBody{} : *cabled;
  }

  Checked read_faults() {
    if (!run_.settings.faults) return {};
    const auto path = begun_ ? kept(journal::faults_name) : request_.faults;
    auto read = put(posix::read_text_file(path, most_fault_bytes), Exit::environment, faults_text_);
    if (!read) return read;
    std::vector<std::string> rigs;
    for (const auto& rig : run_.timeline.rigs) rigs.push_back(rig.name);
    auto faults = sim::read_faults(faults_text_, run_.timeline.circumstances, rigs);
    if (!faults) attach_source(faults.error(), path, faults_text_);
    return put(std::move(faults), Exit::work_has_errors, run_.faults);
  }

  Checked keep() {
    if (!begun_ || request_.amend) {
      const auto kept = keep_files(*run_.folder, run_.settings, plan_, faults_text_);
      if (!kept) return refuse(kept.error(), Exit::environment);
    }
    return run_.journal ? Checked{} : open_journal();
  }

  const RunRequest& request_;
  Utc now_;
  OpenedRun run_;
  std::optional<journal::RunSettings> begun_;
  std::optional<MoveRequest> move_;
  std::string plan_path_;
  std::string plan_text_;
  load::LoadedPlan plan_;
  std::string faults_text_;
  Diagnostics findings_;
  std::string over_;  // the run is: what there is to say
};

}  // namespace

Opening open_run(const RunRequest& request, Utc now) {
  return Opener{request, now}.open();
}

}  // namespace noonfall::start
