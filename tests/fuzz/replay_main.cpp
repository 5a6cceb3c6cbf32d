// Runs a fuzzer's function over every file of a folder, where there is no libFuzzer to do it.
#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

void replay(const std::string& bytes) {
  // A buffer of exactly this size, so that a sanitizer sees a read past its end.
  const std::vector<std::uint8_t> exact(bytes.begin(), bytes.end());
  LLVMFuzzerTestOneInput(exact.data(), exact.size());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2 || !std::filesystem::is_directory(argv[1])) {
    std::cerr << "usage: " << argv[0] << " FOLDER\n";
    return 2;
  }
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator{argv[1]}) paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  replay("");
  for (const auto& path : paths) {
    std::cout << path.filename().string() << std::endl;  // the last name printed is the one that failed
    std::ifstream file{path, std::ios::binary};
    replay({std::istreambuf_iterator<char>{file}, {}});
  }
  return paths.empty() ? 1 : 0;
}
