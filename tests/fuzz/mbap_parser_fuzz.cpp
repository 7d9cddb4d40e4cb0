// The fuzzer's entry for the request parser; built with clang's libFuzzer only.
// One reason to change: the fuzzer's interface.
#include <algorithm>

#include "tests/fuzz/mbap_parser_fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    freshet::fuzz::feed_stream({data, size});
    return 0;
}
