#include "daemon/page/page_rules.h"

#include <algorithm>
#include <cstddef>

#include "lib/base/number.h"

namespace noonfall::page {
namespace {

struct Path {
  std::string_view target;
  std::string_view method;
  Wanted wanted;
};
constexpr Path paths[] = {{"/", "GET", Wanted::page},           {"/page.css", "GET", Wanted::style},
                          {"/page.js", "GET", Wanted::script},  {"/icon.svg", "GET", Wanted::icon},
                          {"/events", "GET", Wanted::events},   {"/command", "POST", Wanted::command},
                          {"/picture/", "GET", Wanted::picture}};

Ruling refuse(unsigned status, std::string words) {
  return {std::nullopt, status, std::move(words)};
}

/// The rig of "/picture/12".
std::optional<std::size_t> picture_in(std::string_view target) {
  constexpr std::string_view folder = "/picture/";
  if (!target.starts_with(folder) || target.size() > folder.size() + 3) return std::nullopt;
  const auto number = target.substr(folder.size());
  const auto rig = parse_integer(number);
  if (!rig || number.find_first_not_of("0123456789") != number.npos) return std::nullopt;
  return static_cast<std::size_t>(*rig);
}

bool has_token(const Request& request, const Access& access) {
  return !access.token.empty() && equal_in_constant_time(request.authorization, "Bearer " + access.token);
}

bool is_of_our_page(const Request& request) {
  if (request.fetch_site == "cross-site") return false;
  return request.origin.empty() || request.origin == "http://" + request.host;
}

Ruling rule_command(const Request& request, const Access& access) {
  if (!access.commands)
    return refuse(403,
                  "from another machine this page is for watching; commands are given on noonfalld's own");
  if (!has_token(request, access))
    return refuse(401, "the token is wrong or missing: open the address that noonfalld printed");
  if (request.content_type != "application/json") return refuse(415, "a command is application/json");
  if (request.own_header != "command") return refuse(403, "a command has the header X-Noonfall: command");
  return {Wanted::command, 200, {}};
}

}  // namespace

bool equal_in_constant_time(std::string_view a, std::string_view b) {
  unsigned differ = a.size() == b.size() ? 0 : 1;
  for (std::size_t n = 0; n < a.size(); ++n)
    differ |= static_cast<unsigned char>(a[n]) ^ static_cast<unsigned char>(b.empty() ? 0 : b[n % b.size()]);
  return differ == 0;
}

Ruling rule(const Request& request, const Access& access) {
  if (request.two_lengths) return refuse(400, "two lengths of one body");
  if (!request.one_host || std::ranges::find(access.hosts, request.host) == access.hosts.end())
    return refuse(421, "that is no name of this server");
  const auto picture = picture_in(request.target);
  const std::string_view target = picture ? "/picture/" : std::string_view{request.target};
  const auto* path = std::ranges::find_if(paths, [&](const Path& each) { return each.target == target; });
  if (path == std::end(paths) || (path->wanted == Wanted::picture && !picture))
    return refuse(404, "there is no such page");
  const auto method = request.method == "HEAD" ? std::string_view{"GET"} : std::string_view{request.method};
  if (method != path->method) return refuse(405, "that can't be done with this page");
  const bool watching = path->wanted == Wanted::events || path->wanted == Wanted::picture;
  const bool live = watching || path->wanted == Wanted::command;
  if (live && !is_of_our_page(request)) return refuse(403, "another site's page may not ask for this");
  if (path->wanted == Wanted::command) return rule_command(request, access);
  if (watching && !access.commands && !has_token(request, access))
    return refuse(401, "the token is wrong or missing: open the address that noonfalld printed");
  return {.wanted = path->wanted, .rig = picture.value_or(0)};
}

}  // namespace noonfall::page
