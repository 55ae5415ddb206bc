package job

import (
	"reflect"
	"strings"
)

// fillLists makes of every list that has nothing in it one that JSON writes as [], so
// that who reads the report finds a list where one is due. Fields that JSON leaves out
// when empty stay so, and parts that the job has not are none.
func fillLists(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fillLists(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			absent := strings.HasSuffix(f.Tag.Get("json"), ",omitzero") && v.Field(i).IsZero()
			if f.IsExported() && !absent {
				fillLists(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		for i := range v.Len() {
			fillLists(v.Index(i))
		}
	}
}
