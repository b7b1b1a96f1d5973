/* A file that lies in memory, for readers that take a path. */
#ifndef RUNDOWN_TESTS_FUZZ_MEMORY_FILE_H
#define RUNDOWN_TESTS_FUZZ_MEMORY_FILE_H

#include <stdint.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Close the descriptor when done. The name is the same every time: messages do not depend on it. */
static inline int memory_file(const uint8_t *data, size_t size, char *path, size_t path_size)
{
    int file = memfd_create("input", MFD_CLOEXEC);
    if (file < 0 || (size > 0 && write(file, data, size) != (ssize_t)size))
        abort();
    snprintf(path, path_size, "/proc/self/fd/%d", file);
    return file;
}

#endif
