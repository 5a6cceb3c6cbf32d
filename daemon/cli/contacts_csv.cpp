#include <algorithm>
#include <cmath>
#include <deque>
#include <functional>
#include <future>
#include <ostream>
#include <span>

#include "daemon/cli/contacts_output.h"
#include "lib/contacts/batch.h"
#include "lib/limb/limb_contacts.h"

namespace noonfall::cli {
namespace {

using contacts::BriefCircumstances;
using contacts::ContactName;
using contacts::Kind;

void append_digits(std::string& out, std::int64_t value, std::size_t width) {
  const auto at = out.size();
  out.append(width, '0');
  for (auto n = width; n-- > 0; value /= 10) out[at + n] = static_cast<char>('0' + value % 10);
}

/// Writes instants as to_text does, with the text of the day kept: a list of sites has one or two days.
class InstantWriter {
 public:
  void append(std::string& out, Utc instant) {
    using namespace std::chrono;
    const auto ms = floor<milliseconds>(instant + 500us);
    const auto day = floor<days>(ms);
    if (day != day_) {
      day_ = day;
      day_text_ = to_text(Date{day}) + 'T';
    }
    const auto of_day = (ms - day).count();
    out += day_text_;
    append_digits(out, of_day / 3'600'000, 2);
    out += ':';
    append_digits(out, of_day / 60'000 % 60, 2);
    out += ':';
    append_digits(out, of_day / 1000 % 60, 2);
    out += '.';
    append_digits(out, of_day % 1000, 3);
    out += 'Z';
  }

 private:
  std::chrono::sys_days day_{std::chrono::days{-1'000'000}};
  std::string day_text_;
};

/// A number from 0 to 9.999999 with six decimals.
void append_fraction(std::string& out, double value) {
  const auto millionths = std::llround(value * 1e6);
  append_digits(out, millionths / 1'000'000, 1);
  out += '.';
  append_digits(out, millionths % 1'000'000, 6);
}

void append_row(std::string& out, InstantWriter& instants, const BriefCircumstances& site) {
  const bool central = site.kind == Kind::total || site.kind == Kind::annular;
  out += contacts::to_text(site.kind);
  for (const auto name : contacts::all_contacts) {
    out += ',';
    const bool inner = name == ContactName::c2 || name == ContactName::c3;
    if (site.kind == Kind::none || (inner && !central)) continue;
    instants.append(out, site.utc[static_cast<std::size_t>(name)]);
  }
  out += ',';
  if (site.kind != Kind::none) append_fraction(out, site.magnitude);
  out += ',';
  if (site.kind != Kind::none) append_fraction(out, site.obscuration);
  out += '\n';
}

using Sites = std::span<const contacts::Site>;

using Solver = std::function<BriefCircumstances(const contacts::Site&)>;

std::string rows_of(const Solver& solve, Sites sites) {
  constexpr std::size_t usual_row = 160;
  InstantWriter instants;
  std::string rows;
  rows.reserve(sites.size() * usual_row);
  for (const auto& site : sites) append_row(rows, instants, solve(site));
  return rows;
}

/// Some hundredths of a second of work: enough to be worth a thread, few enough to hold.
constexpr std::size_t block_of_smooth = 1U << 14U;
constexpr std::size_t block_with_profile = 4;

Sites take_block(Sites& rest, std::size_t block) {
  const auto taken = rest.first(std::min(block, rest.size()));
  rest = rest.subspan(taken.size());
  return taken;
}

}  // namespace

void write_contacts_csv(std::ostream& out, const contacts::Elements& elements,
                        const contacts::Settings& settings, const limb::Strip* strip,
                        const std::vector<contacts::Site>& sites, std::size_t threads) {
  const auto solve = strip == nullptr ? Solver{contacts::Batch{elements, settings}}
                                      : Solver{limb::LimbBatch{*strip, elements, settings}};
  const auto block = strip == nullptr ? block_of_smooth : block_with_profile;
  out << "kind,c1,c2,mid,c3,c4,magnitude,obscuration\n";
  Sites rest{sites};
  if (threads < 2 || rest.size() <= block) {
    while (!rest.empty()) out << rows_of(solve, take_block(rest, block));
    return;
  }
  std::deque<std::future<std::string>> under_way;  // in the order of the sites
  while (!rest.empty() || !under_way.empty()) {
    while (!rest.empty() && under_way.size() < threads) {
      const auto taken = take_block(rest, block);
      under_way.push_back(std::async(std::launch::async, [&solve, taken] { return rows_of(solve, taken); }));
    }
    out << under_way.front().get();
    under_way.pop_front();
  }
}

}  // namespace noonfall::cli
