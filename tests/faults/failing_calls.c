/* Makes system calls that write below one folder fail, for programs started with this library preloaded.

   FAIL_FOLDER   the folder; files elsewhere are left alone
   FAIL_AFTER    so many such calls work first
   FAIL_COUNT    so many fail then, and later ones work again; negative: all later ones fail
   FAIL_WITH     the number of the error
   FAIL_OPENS    1: opening an existing file for writing fails too, as on a read-only disk */

#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

static long number(const char *name, long otherwise)
{
    const char *text = getenv(name);
    return text ? atol(text) : otherwise;
}

static int below(const char *path)
{
    const char *folder = getenv("FAIL_FOLDER");
    char resolved[PATH_MAX], from[PATH_MAX];
    size_t length;
    if (!folder || !path)
        return 0;
    if (path[0] != '/') {
        if (!getcwd(from, sizeof from) || snprintf(resolved, sizeof resolved, "%s/%s", from, path) >= PATH_MAX)
            return 0;
        path = resolved;
    }
    length = strlen(folder);
    return !strncmp(path, folder, length) && (path[length] == '/' || !path[length]);
}

static int open_below(int file)
{
    char link[64], path[PATH_MAX];
    ssize_t length;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    length = readlink(link, path, sizeof path - 1);
    if (length < 1 || path[0] != '/')
        return 0;
    path[length] = 0;
    return below(path);
}

/* Counts a call that could fail; true when this one does. */
static int fails(void)
{
    static long calls;
    long call = __atomic_fetch_add(&calls, 1, __ATOMIC_SEQ_CST), after = number("FAIL_AFTER", 0);
    long count = number("FAIL_COUNT", -1);
    if (call < after || (count >= 0 && call >= after + count))
        return 0;
    errno = (int)number("FAIL_WITH", ENOSPC);
    return 1;
}

/* Room for nothing more never keeps a file from being removed, or its mode from being changed. */
static int fails_but_for_room(void)
{
    return number("FAIL_WITH", ENOSPC) != ENOSPC && fails();
}

static int open_fails(const char *path, int flags)
{
    int writes = (flags & O_ACCMODE) != O_RDONLY || flags & (O_CREAT | O_TRUNC);
    struct stat found;
    if (!writes || !below(path))
        return 0;
    if (!stat(path, &found) && !(flags & O_TRUNC) && !number("FAIL_OPENS", 0))
        return 0;
    return fails();
}

static mode_t mode_of(int flags, va_list arguments)
{
    return flags & (O_CREAT | O_TMPFILE) ? (mode_t)va_arg(arguments, int) : 0;
}

#define OPENS(name)                                       \
    int name(const char *path, int flags, ...)            \
    {                                                     \
        va_list arguments;                                \
        mode_t mode;                                      \
        va_start(arguments, flags);                       \
        mode = mode_of(flags, arguments);                 \
        va_end(arguments);                                \
        if (open_fails(path, flags))                      \
            return -1;                                    \
        return REAL(name)(path, flags, mode);             \
    }
OPENS(open)
OPENS(open64)

#define OPENS_AT(name)                                    \
    int name(int folder, const char *path, int flags, ...) \
    {                                                     \
        va_list arguments;                                \
        mode_t mode;                                      \
        va_start(arguments, flags);                       \
        mode = mode_of(flags, arguments);                 \
        va_end(arguments);                                \
        if (open_fails(path, flags))                      \
            return -1;                                    \
        return REAL(name)(folder, path, flags, mode);     \
    }
OPENS_AT(openat)
OPENS_AT(openat64)

#define ON_FILE(result, name, when, parameters, ...)      \
    result name parameters                                \
    {                                                     \
        if (open_below(file) && when())                   \
            return -1;                                    \
        return REAL(name)(__VA_ARGS__);                   \
    }
ON_FILE(ssize_t, write, fails, (int file, const void *data, size_t size), file, data, size)
ON_FILE(ssize_t, pwrite, fails, (int file, const void *data, size_t size, off_t at), file, data, size, at)
ON_FILE(ssize_t, pwrite64, fails, (int file, const void *data, size_t size, off64_t at), file, data, size, at)
ON_FILE(ssize_t, writev, fails, (int file, const struct iovec *parts, int count), file, parts, count)
ON_FILE(int, ftruncate, fails, (int file, off_t size), file, size)
ON_FILE(int, ftruncate64, fails, (int file, off64_t size), file, size)
ON_FILE(int, fsync, fails, (int file), file)
ON_FILE(int, fdatasync, fails, (int file), file)
ON_FILE(int, fchmod, fails_but_for_room, (int file, mode_t mode), file, mode)
ON_FILE(int, posix_fallocate, fails, (int file, off_t at, off_t size), file, at, size)

#define ON_PATH(name, when, parameters, ...)              \
    int name parameters                                   \
    {                                                     \
        if (below(path) && when())                        \
            return -1;                                    \
        return REAL(name)(__VA_ARGS__);                   \
    }
ON_PATH(unlink, fails_but_for_room, (const char *path), path)
ON_PATH(mkdir, fails, (const char *path, mode_t mode), path, mode)
ON_PATH(rename, fails, (const char *from, const char *path), from, path)
ON_PATH(link, fails, (const char *from, const char *path), from, path)
ON_PATH(linkat, fails, (int one, const char *from, int two, const char *path, int flags), one, from, two, path, flags)
ON_PATH(renameat, fails, (int one, const char *from, int two, const char *path), one, from, two, path)
