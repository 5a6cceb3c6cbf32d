#include "daemon/pictures/each_of.h"

#include <atomic>
#include <mutex>
#include <thread>
#include <vector>

namespace noonfall::pictures {

Result<void> each_of(std::size_t count, unsigned threads,
                     const std::function<Result<void>(std::size_t)>& piece,
                     const std::function<void(int)>& progress) {
  std::atomic<std::size_t> next{0};
  std::atomic<int> done{0};
  std::mutex telling;
  Diagnostics troubles;
  const auto work = [&](const auto& after_each) {
    for (auto n = next++; n < count; n = next++) {
      if (auto result = piece(n); !result) {
        const std::scoped_lock hold{telling};
        append(troubles, std::move(result.error()));
        next = count;
      }
      ++done;
      after_each();
    }
  };
  std::vector<std::jthread> others;
  for (unsigned n = 1; n < threads; ++n) others.emplace_back([&] { work([] {}); });
  work([&] { progress(done); });
  others.clear();
  progress(done);
  if (!troubles.empty()) return fail(std::move(troubles));
  return {};
}

}  // namespace noonfall::pictures
