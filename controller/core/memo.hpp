// A value that is costly to compute, together with the key that it was computed for.
// One reason to change: how a computed value is kept.
#pragma once

namespace freshet::core {

/// Keeps the last value. Computes a new value only for another key. A key that contains NaN never equals
/// itself, so its value is computed every time.
template <class Key, class Value>
class Memo {
  public:
    /// The value for `key`. Calls `compute()` when the key changed.
    template <class Compute>
    const Value& at(const Key& key, const Compute& compute) noexcept {
        if (!known_ || !(key == key_)) {
            value_ = compute();
            key_ = key;
            known_ = true;
        }
        return value_;
    }

  private:
    Key key_{};
    Value value_{};
    bool known_ = false;
};

}  // namespace freshet::core
