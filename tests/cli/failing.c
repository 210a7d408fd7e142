/* Makes calls of the C library fail on purpose, for a program that is started with this as LD_PRELOAD (Linux).
 *
 * FAIL_AT=N       the Nth of the calls counted here fails; without it none does
 * FAIL_WITH=E     with this error number
 * FAIL_ON=1       every call after the Nth fails as well
 * FAIL_SHORT=1    a failing write puts half of its bytes down first
 * FAIL_COUNT=FILE where to note, at the end, how many calls were counted
 * FAIL_RENAME=E   every renaming fails with this error number, whoever asks the kernel for it
 *
 * Counted are writes, syncs, truncations, links, removals and the making of files; never those on the first three
 * descriptors or on a terminal or pipe.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

static int counted, fail_at, fail_with, fail_on, fail_short;

static int number(const char *name) {
    const char *text = getenv(name);
    return text ? atoi(text) : 0;
}

static void refuse_renames(unsigned error) {
    struct sock_filter filter[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
#ifdef SYS_rename
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_rename, 2, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_renameat, 1, 0),
#else
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_renameat, 2, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_renameat, 1, 0),
#endif
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_renameat2, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | (error & SECCOMP_RET_DATA)),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
    };
    struct sock_fprog program = {sizeof filter / sizeof *filter, filter};
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) || prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program)) {
        fputs("renamings cannot be made to fail here\n", stderr);
        _exit(99);
    }
}

__attribute__((constructor)) static void begin(void) {
    fail_at = number("FAIL_AT");
    fail_with = number("FAIL_WITH");
    fail_on = number("FAIL_ON");
    fail_short = number("FAIL_SHORT");
    if (number("FAIL_RENAME")) refuse_renames((unsigned)number("FAIL_RENAME"));
}

__attribute__((destructor)) static void end(void) {
    const char *name = getenv("FAIL_COUNT");
    FILE *file = name ? fopen(name, "w") : NULL;
    if (file) {
        fprintf(file, "%d\n", counted);
        fclose(file);
    }
}

static int is_file(int fd) {
    struct stat found;
    return fd > 2 && syscall(SYS_fstat, fd, &found) == 0 && (S_ISREG(found.st_mode) || S_ISDIR(found.st_mode));
}

/* Counts a call and tells whether it is to fail. */
static int fails(void) {
    counted++;
    if (!fail_at || (fail_on ? counted < fail_at : counted != fail_at)) return 0;
    errno = fail_with;
    return 1;
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int fd, const void *bytes, size_t length) {
    if (is_file(fd) && fails()) {
        if (fail_short && length > 1) return REAL(write)(fd, bytes, length / 2);
        return -1;
    }
    return REAL(write)(fd, bytes, length);
}

ssize_t writev(int fd, const struct iovec *parts, int count) {
    return is_file(fd) && fails() ? -1 : REAL(writev)(fd, parts, count);
}

int fsync(int fd) { return is_file(fd) && fails() ? -1 : REAL(fsync)(fd); }

int fdatasync(int fd) { return is_file(fd) && fails() ? -1 : REAL(fdatasync)(fd); }

int ftruncate64(int fd, off64_t length) { return is_file(fd) && fails() ? -1 : REAL(ftruncate64)(fd, length); }

int linkat(int from, const char *name, int to, const char *other, int flags) {
    return fails() ? -1 : REAL(linkat)(from, name, to, other, flags);
}

int unlink(const char *name) { return fails() ? -1 : REAL(unlink)(name); }

int open64(const char *name, int flags, ...) {
    mode_t mode = 0;
    if (flags & O_CREAT) {
        va_list more;
        va_start(more, flags);
        mode = va_arg(more, mode_t);
        va_end(more);
        if (fails()) return -1;
    }
    return REAL(open64)(name, flags, mode);
}
