// The only place where an exception of any kind ends: it would be our bug, and is told as one.
#include <exception>
#include <iostream>

#include "cli/run.h"

int main(int count, char** arguments) {
  constexpr int kOurBug = 70;
  try {
    return halfsplit::cli::run(count, arguments);
  } catch (const std::exception& trouble) {
    std::cerr << "internal error: " << trouble.what() << "\nThis is a bug of halfsplit; the job is as it was before this line.\n";
  } catch (...) {
    std::cerr << "internal error\nThis is a bug of halfsplit; the job is as it was before this line.\n";
  }
  return kOurBug;
}
